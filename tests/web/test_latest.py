"""A list that nobody waits for any more costs nothing; the last move is the one shown."""

from __future__ import annotations

import asyncio

import httpx
import pytest
from sqlalchemy import Engine

from basswright import stages
from basswright.records.job import Job
from basswright.stages import Weighed
from basswright.web import app
from basswright.web.desk import Desk
from basswright.web.wish_pages import slider
from tests.web.conftest import Server

LIST = "/jobs/demo-hatchback/options/list"


class Turns(asyncio.Semaphore):
    """Turns that nobody gets until the door is opened."""

    def __init__(self) -> None:
        super().__init__(1)
        self.waiting = 0
        self.door = asyncio.Event()

    async def __aenter__(self) -> None:
        self.waiting += 1
        self.loop = asyncio.get_running_loop()
        await self.door.wait()
        await super().__aenter__()


def test_who_moved_on_before_their_turn_gets_nothing_weighed(
    engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = app(engine, warm=False)
    weighed: list[float] = []
    turns = Turns()
    monkeypatch.setattr(made.state.desk, "turns", turns)
    weigh = stages.weigh

    def counting(job: Job, *args: object, **more: object) -> Weighed:
        weighed.append(job.wish.budget)
        return weigh(job, *args, **more)

    monkeypatch.setattr(stages, "weigh", counting)

    async def moved(address: str) -> str:
        async with httpx.AsyncClient(base_url=address, timeout=120) as client:
            stale = [
                asyncio.create_task(client.get(LIST, params={"wish.budget": str(budget)}))
                for budget in (801, 802, 803)
            ]
            last = asyncio.create_task(client.get(LIST, params={"wish.budget": "804"}))
            while turns.waiting < 4:
                await asyncio.sleep(0.02)
            for each in stale:
                each.cancel()
            await asyncio.gather(*stale, return_exceptions=True)
            await asyncio.sleep(0.2)
            turns.loop.call_soon_threadsafe(turns.door.set)
            return (await last).text

    with Server(made) as server:
        text = asyncio.run(moved(server.address))
    assert "budget 804" in text
    assert weighed == [804.0]


def test_the_work_of_the_same_job_is_taken_over(engine: Engine) -> None:
    """Two tablets with two jobs: each goes on from its own, not from the other's."""
    desk = Desk(engine)
    job = desk.jobs.get("demo-hatchback").job
    other = job.model_copy(update={"id": "other-car"})
    narrow = job.car.load_space.model_copy(update={"depth_floor_m": 0.6})
    other = other.model_copy(update={"car": job.car.model_copy(update={"load_space": narrow})})
    desk.glance(job)
    desk.glance(other)
    moved = job.model_copy(update={"wish": job.wish.model_copy(update={"budget": 500.0})})
    assert desk._weigh(moved).whole_fit is desk._weigh(job).whole_fit


def test_the_present_value_is_one_of_the_steps_of_its_slider(engine: Engine) -> None:
    """A browser rounds a slider to its steps; that must not look like a change."""
    job = Desk(engine).jobs.get("demo-hatchback").job
    wish = job.wish.model_copy(update={"level_db": 110.3, "budget": 1234.0})
    job = job.model_copy(update={"wish": wish})
    for path, span in (("wish.level", (90.0, 135.0, 0.5)), ("wish.budget", (200.0, 4000.0, 20.0))):
        made = slider(job, path, span)
        steps = (made.value - made.low) / made.step
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert span[0] <= made.low < span[0] + made.step
