"""Tables that the maker's bench reads."""

TABLES_OF_THE_BENCH = [
    "scores/frames.csv",
    "scores/arm_segments.csv",
    "bench/design_limits.csv",
    "bench/design_upkeep.csv",
    "drawings/embrittlement.csv",
    "drawings/fracture_toughness.csv",
    "drawings/handle_guidance.csv",
    "bench/hardness.csv",
    "bench/making_cautions.csv",
    "drawings/materials.csv",
    "bench/measured_strength.csv",
    "drawings/reference_designs.csv",
    "drawings/steel_toughness.csv",
    "drawings/steels.csv",
    "bench/stepped_bar.csv",
    "drawings/tempering.csv",
    "scores/teeth.csv",
    "drawings/tips.csv",
]
