"""The floor: an endpoint of the same framework that takes a checked body and does nothing."""

from fastapi import FastAPI
from pydantic import BaseModel

app = FastAPI()


class Task(BaseModel):
    """As small as a task of a trip."""

    task: str
    diameter_mm: float
    per_day: float = 1


class Body(BaseModel):
    """As small as a trip."""

    tasks: list[Task]
    detail: str = "full"


class Told(BaseModel):
    """As small as an answer can be."""

    status: str


@app.post("/empty")
async def empty(body: Body) -> Told:
    """Do nothing."""
    return Told(status=body.detail)
