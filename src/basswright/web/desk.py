"""The store, and the answers of the stages for as long as nothing changed.

A page of several parts asks for the same answer more than once, and two tablets ask for
the same job; each answer is kept by the job's and the catalogue's content alone, so it
can never be out of date. The stages are imported when first asked for, so that the server
answers its first page before they are loaded.
"""

from __future__ import annotations

import asyncio
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

from sqlalchemy import select

from basswright.catalogue.store import Catalogue
from basswright.database.engine import reading
from basswright.database.tables import CATALOGUE
from basswright.jobs import parse_job, sample_text
from basswright.jobs.store import JobStore
from basswright.records.job import Job
from basswright.records.options import Options, Sensitivity
from basswright.records.tradeoffs import Tradeoffs

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from basswright import stages
    from basswright.stages.system import System
    from basswright.web.curves import Curve

T = TypeVar("T")

#: Options shown on a page and kept to be opened.
SHOWN: Final = 12
_ANSWERS_KEPT: Final = 48
_WEIGHED_KEPT: Final = 3
#: More at once would only take turns on the same cores, each with its own memory.
_WEIGHED_AT_ONCE: Final = 2


class Kept:
    """The latest answers, each worked out once even when several ask at the same time."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._answers: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = threading.Lock()
        self._under_way: dict[Hashable, threading.Lock] = {}

    def has(self, key: Hashable) -> bool:
        """Say whether the answer of that key is kept."""
        with self._lock:
            return key in self._answers

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return the answer of that key, made now if it is not kept."""
        with self._lock:
            if key in self._answers:
                self._answers.move_to_end(key)
                return cast(T, self._answers[key])
            turn = self._under_way.setdefault(key, threading.Lock())
        with turn:
            with self._lock:
                if key in self._answers:
                    return cast(T, self._answers[key])
            try:
                answer = make()
            finally:
                with self._lock:
                    self._under_way.pop(key, None)
            with self._lock:
                self._answers[key] = answer
                while len(self._answers) > self._most:
                    self._answers.popitem(last=False)
        return answer


class Desk:
    """What every page works on.

    Parameters
    ----------
    engine : sqlalchemy.Engine
        From :func:`basswright.database.connect`.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self.jobs = JobStore(engine)
        self.catalogue = Catalogue(engine)
        self._answers = Kept(_ANSWERS_KEPT)
        self._weighed = Kept(_WEIGHED_KEPT)
        self._turns = threading.BoundedSemaphore(_WEIGHED_AT_ONCE)
        self._latest: OrderedDict[str, stages.Weighed] = OrderedDict()
        #: Lists that follow a moving slider wait here, where a browser that gave up is noticed.
        self.turns = asyncio.Semaphore(_WEIGHED_AT_ONCE)
        self._prepared = Kept(1)
        self._seeding = threading.Lock()

    def catalogue_revision(self) -> int:
        """Return the number that grows with every change of the catalogue."""
        with reading(self.engine) as connection:
            return int(connection.execute(select(CATALOGUE.c.revision)).scalar() or 0)

    def prepared(self) -> stages.Prepared:
        """Return what can be bought now, with all that follows from it alone."""
        from basswright import stages

        return self._prepared.get(
            self.catalogue_revision(), lambda: stages.prepare(self.catalogue.snapshot())
        )

    def seed(self) -> None:
        """Fill a store that nobody has used with the sample job and the invented range."""
        with self._seeding:
            if self.jobs.search("") or self.has_catalogue():
                return
            from basswright.catalogue import demo

            self.catalogue.replace(demo.make().snapshot)
            self.jobs.save(parse_job(sample_text()), note="sample job")

    def has_catalogue(self) -> bool:
        """Say whether there is anything to choose from."""
        return self.catalogue.counts().get("enclosures", 0) > 0

    def options(self, job: Job) -> Options:
        """Return the options of a job, without the readings that they hang on."""
        from basswright.stages.options import of_weighed as options_of

        key = ("options", *self._key(job))
        return self._answers.get(
            key, lambda: options_of(self._weigh(job), most=SHOWN, readings=False)
        )

    def glance(self, job: Job) -> Options:
        """Return the first few options of a job, for a list that follows a slider."""
        from basswright.stages.options import of_weighed as options_of

        key = ("glance", *self._key(job))
        return self._answers.get(key, lambda: options_of(self._weigh(job), most=SHOWN, brief=True))

    def readings(self, job: Job) -> tuple[Sensitivity, ...]:
        """Return which readings are worth taking again, since the best options hang on them."""
        from basswright.stages.options import HUNG_ON
        from basswright.stages.readings import sensitivities

        found = self.options(job)
        if not found.wish_met:
            return ()
        return self._answers.get(
            ("readings", *self._key(job)),
            lambda: sensitivities(self._weigh(job), found.options[:HUNG_ON]),
        )

    def has_options(self, job: Job) -> bool:
        """Say whether the options of a job are worked out already."""
        return self._answers.has(("options", *self._key(job)))

    def curves(self, job: Job, found: Options) -> dict[str, Curve]:
        """Return the highest clean level of each of the options found for a job, in short."""
        from basswright.web.curves import curves_of

        key = ("curves", len(found.options), *self._key(job))
        return self._answers.get(key, lambda: curves_of(self._weigh(job), found.options))

    def system(self, job: Job, option: str) -> System:
        """Return one option in depth.

        Raises
        ------
        NotFoundError
            No such option for this job.
        """

        from basswright.stages.system import find
        from basswright.stages.system import of_weighed as system_of

        def compute() -> System:
            weighed = self._weigh(job)
            return system_of(weighed, find(weighed, option))

        return self._answers.get(("system", option, *self._key(job)), compute)

    def tradeoffs(self, job: Job, option: str) -> Tradeoffs:
        """Return what each choice costs and brings, power and load for one option.

        Raises
        ------
        NotFoundError
            No such option for this job.
        """
        from basswright.stages.tradeoffs import of_weighed as tradeoffs_of

        key = ("tradeoffs", option, *self._key(job))
        return self._answers.get(key, lambda: tradeoffs_of(self._weigh(job), option))

    def kept(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return any other answer that depends on nothing but its key."""
        return self._answers.get(key, make)

    def _key(self, job: Job) -> tuple[int, str]:
        return self.catalogue_revision(), job.model_dump_json()

    def _weigh(self, job: Job) -> stages.Weighed:
        from basswright import stages

        def compute() -> stages.Weighed:
            prepared = self.prepared()
            with self._turns:
                found = stages.weigh(job, prepared, previous=self._nearest(job, prepared))
            self._remember(found)
            return found

        return self._weighed.get(self._key(job), compute)

    def _nearest(self, job: Job, prepared: stages.Prepared) -> stages.Weighed | None:
        """Return what was weighed last for this job, or else for any other."""
        kept = [each for each in self._latest.values() if each.prepared is prepared]
        own = [each for each in kept if each.job.id == job.id]
        found = own or kept
        return found[-1] if found else None

    def _remember(self, weighed: stages.Weighed) -> None:
        self._latest.pop(weighed.job.id, None)
        self._latest[weighed.job.id] = weighed
        while len(self._latest) > _WEIGHED_KEPT:
            self._latest.popitem(last=False)
