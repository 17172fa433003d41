"""What decides in this car: room, cone, kind of box, power and load, in figures."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from basswright.web.pages import desk_of, page

router: Final = APIRouter()


@router.get("/jobs/{job_id}/tradeoffs")
def tradeoffs(
    request: Request, job_id: str, option: Annotated[str, Query(max_length=200)] = "1"
) -> Response:
    """Show what each choice costs and brings, power and load for one option."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    found = desk.tradeoffs(stored.job, option)
    listed = desk.options(stored.job).options
    return page(
        request,
        "tradeoffs.html",
        stage="options",
        stored=stored,
        found=found,
        listed=listed,
        chosen=next((each for each in listed if each.id == found.option), None),
    )
