"""An answer that is a picture."""

from collections.abc import Callable

from fastapi.responses import Response

from api.solving.solve_queue import Solves
from solver import Effort


class SvgResponse(Response):
    """A picture."""

    media_type = "image/svg+xml"


async def as_picture(make: Callable[[Effort], str], solves: Solves, *, times: int = 0) -> SvgResponse:
    """Return a picture made in a thread, as many at a time as there are solves; `times` as `Solves.run_told` has it."""
    svg, timing = await solves.run(make, times=times)
    return SvgResponse(svg, headers={"Server-Timing": timing})
