from pydantic import BaseModel, ConfigDict


class Drawing(BaseModel):
    """What every drawing has in common: unknown keys, coerced text and infinities are refused."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)
