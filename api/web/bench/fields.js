/** What may be drawn of each form: a row is a figure or a choice, with its words and how far its slider goes. */

const figure = (path, label, unit, from, to, step, more = {}) => ({ path: `drawing.${path}`, label, unit, from, to, step, ...more });
const choice = (path, label, choices, more = {}) => ({ path: `drawing.${path}`, label, choices, ...more });
const option = (path, label, unit, usual, more = {}) => ({ path: `drawing.${path}`, label, unit, usual, ...more });

const blade = ({ drawing }) => drawing.blade;
const grip = (length, width, thick) => [
  figure("handle.length_mm", "Length", "mm", ...length, 1),
  figure("handle.width_mm", "Height", "mm", ...width, 0.5),
  figure("handle.thickness_mm", "Thickness", "mm", ...thick, 0.5),
  choice("handle.material", "Material", "handle"),
  option("handle.corner_radius_mm", "Corner radius", "mm", "as round as possible"),
];
const TANGS = [["full", "full: as wide as the handle"], ["hidden", "hidden: a stick inside"], ["through", "through: a stick to the end"]];

const KNIFE = [
  ["Blade", [
    figure("blade.length_mm", "Length, handle to tip", "mm", 40, 320, 1),
    figure("blade.width_mm", "Width, edge to spine", "mm", 14, 60, 0.5),
    figure("blade.spine_mm", "Spine at the handle", "mm", 1.5, 7, 0.05),
    option("blade.tip_spine_mm", "Spine at the tip", "mm", "as at the handle"),
    figure("blade.ricasso_mm", "Ricasso (not ground)", "mm", 0, 40, 1, { usual: 0 }),
    choice("blade.tip", "Tip", "tip", { usual: "drop point" }),
    option("blade.tip_length_mm", "Length of the tip", "mm", "usual for the tip"),
  ]],
  ["Grind and edge", [
    choice("blade.grind", "Grind", "grind", { usual: "full flat" }),
    figure("blade.grind_height_mm", "Height of the grind", "mm", 3, 50, 0.5, { when: (design) => ["saber", "scandi"].includes(blade(design).grind) }),
    figure("blade.wheel_diameter_mm", "Diameter of the wheel", "mm", 100, 1000, 10, { when: (design) => blade(design).grind === "hollow" }),
    figure("blade.edge_mm", "Thickness behind the edge", "mm", 0, 1.5, 0.05, { usual: 0 }),
    figure("blade.edge_angle_deg", "Edge angle, both sides together", "°", 12, 50, 0.5, { usual: 30 }),
  ]],
  ["Steel", [
    choice("steel", "Grade", "steel"),
    figure("hardness_hrc", "Hardness", "HRC", 48, 66, 0.5, { empty: "by temper" }),
    option("temper_c", "Tempered at", "°C", "not stated"),
    option("edge_hardness_hrc", "Hardness of the edge", "HRC", "as the blade"),
    option("spine_hardness_hrc", "Hardness of the spine", "HRC", "as the blade"),
    option("shoulder_radius_mm", "Radius at the tang shoulder", "mm", "assumed"),
    option("plunge_radius_mm", "Radius at the plunge line", "mm", "assumed"),
  ]],
  ["Handle", [
    ...grip([70, 180], [14, 42], [10, 34]),
    { path: "drawing.tang.kind", label: "Tang", choices: TANGS },
    figure("tang.cutout_pct", "Drilled or milled out of the tang", "%", 0, 60, 1, { usual: 0, when: ({ drawing }) => drawing.tang.kind === "full" }),
    figure("tang.width_mm", "Width of the tang", "mm", 5, 30, 0.5, { when: ({ drawing }) => drawing.tang.kind !== "full" }),
    figure("tang.length_mm", "Length of the tang", "mm", 30, 160, 1, { when: ({ drawing }) => drawing.tang.kind === "hidden" }),
    figure("pins.0.count", "Pins", "", 0, 6, 1, { usual: 0 }),
    figure("pins.0.diameter_mm", "Diameter of the pins", "mm", 2, 10, 0.5, { when: ({ drawing }) => Boolean(drawing.pins?.[0]) }),
  ]],
  ["Sheath", [
    choice("sheath.material", "Material", "sheath", { none: "no sheath" }),
    figure("sheath.thickness_mm", "Thickness of a leaf", "mm", 0.5, 6, 0.1, { usual: 3, when: ({ drawing }) => Boolean(drawing.sheath) }),
  ]],
];

const AXE = [
  ["Head", [
    figure("head_mass_g", "Mass of the bare head", "g", 150, 2000, 10),
    figure("bit_width_mm", "Cutting edge", "mm", 45, 140, 1),
    figure("bit_reach_mm", "Eye to edge", "mm", 50, 140, 1, { usual: 90 }),
    figure("head_height_mm", "Height of the eye", "mm", 25, 90, 1, { usual: 60 }),
    figure("edge_angle_deg", "Edge angle, both sides together", "°", 18, 50, 0.5, { usual: 30 }),
    option("cheek_angle_deg", "Angle of the cheeks", "°", "as the mass fills the outline"),
    figure("mask_mass_g", "Cover", "g", 0, 150, 5, { usual: 60 }),
  ]],
  ["Haft", grip([220, 950], [24, 48], [16, 32])],
];

const teeth = (length, width, plate) => [
  figure("blade.length_mm", "Toothed length", "mm", ...length, 1),
  figure("blade.width_mm", "Width, teeth to back", "mm", ...width, 0.5),
  figure("blade.thickness_mm", "Plate", "mm", ...plate, 0.05),
  figure("blade.kerf_mm", "Kerf (width of the cut)", "mm", 0.6, 3, 0.05),
  figure("blade.tooth_pitch_mm", "Pitch of the teeth", "mm", 2, 8, 0.1),
  figure("blade.tooth_depth_mm", "Depth of the teeth", "mm", 1.5, 8, 0.1),
  choice("blade.teeth", "Teeth", "teeth"),
];

const FOLDING_SAW = [
  ["Blade", teeth([100, 400], [18, 55], [0.5, 2])],
  ["Handle", [
    ...grip([130, 450], [16, 42], [10, 30]),
    figure("handle_hollow_pct", "Hollow inside", "%", 0, 80, 1, { usual: 0 }),
    figure("slot_mm", "Slot for the blade", "mm", 0.8, 4, 0.1, { usual: 2 }),
    figure("hardware_g", "Pivot, lock and screws", "g", 0, 60, 1, { usual: 15 }),
  ]],
];

const BOW_SAW = [
  ["Blade", teeth([250, 950], [10, 40], [0.4, 1.5])],
  ["Frame", [
    choice("frame.material", "Material", "frame", { usual: "steel" }),
    figure("frame.outer_mm", "Thickness of the bars", "mm", 8, 40, 0.5),
    option("frame.wall_mm", "Wall, if a tube", "mm", "a solid bar"),
    figure("frame.clear_depth_mm", "Blade to stretcher", "mm", 60, 300, 1),
    figure("frame.leg_extra_mm", "Legs beyond", "mm", 0, 200, 1, { usual: 0 }),
    figure("frame.hardware_g", "Lever, cord, pins", "g", 0, 200, 1, { usual: 60 }),
    { path: "drawing.takes_down", label: "Packs as a bundle", tick: true },
    figure("mask_mass_g", "Cover", "g", 0, 120, 5, { usual: 40 }),
  ]],
];

const FORMS = {
  knife: { name: "Knife", groups: KNIFE },
  "folding saw": { name: "Folding saw", groups: FOLDING_SAW },
  "bow saw": { name: "Frame saw", groups: BOW_SAW },
  axe: { name: "Axe", groups: AXE },
};

/** Set what a choice asks for beside itself, so that the drawing stays one that can be made. */
function settle(design, path) {
  const { drawing } = design;
  if (path === "drawing.blade.grind") {
    const { grind, width_mm: width } = drawing.blade;
    const part = ["saber", "scandi"].includes(grind);
    if (part) drawing.blade.grind_height_mm ??= Math.round(width * (grind === "scandi" ? 0.35 : 0.6));
    else delete drawing.blade.grind_height_mm;
    if (grind === "hollow") drawing.blade.wheel_diameter_mm ??= 250;
    else delete drawing.blade.wheel_diameter_mm;
  }
  if (path === "drawing.tang.kind") {
    const { tang, handle } = drawing;
    if (tang.kind === "full") delete tang.width_mm;
    else delete tang.cutout_pct;
    if (tang.kind !== "full") tang.width_mm ??= Math.round(handle.width_mm / 2);
    if (tang.kind === "hidden") tang.length_mm ??= Math.round(handle.length_mm * 0.7);
    else delete tang.length_mm;
  }
  if (path === "drawing.pins.0.count") {
    if (!drawing.pins[0].count) delete drawing.pins;
    else drawing.pins[0] = { diameter_mm: 5, material: "brass", ...drawing.pins[0] };
  }
  if (path === "drawing.sheath.material" && !drawing.sheath?.material) delete drawing.sheath;
}

export { FORMS, settle };
