"""HiGHS as each of our linear programs has it: silent, and with the one count of threads of the whole process."""

from typing import Any

import highspy

THREADS = 1  # HiGHS fixes its scheduler at first use: one constant count in the whole process


def quiet_highs(**options: Any) -> highspy.Highs:
    """Return a HiGHS of its own with some options."""
    highs = highspy.Highs()
    for name, value in {"output_flag": False, "threads": THREADS, **options}.items():
        highs.setOptionValue(name, value)
    return highs
