"""From a weighed pair to a whole system with its parts, place, price and reasons."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright import drive, space, supply
from basswright.choose import bill, reasons
from basswright.choose.amplifiers import BUILT_IN_EFFICIENCY, with_known_load
from basswright.choose.boxes import HELD_AGAINST_M_PER_S2, fixing_for, mass_kg
from basswright.choose.goals import GRID_HZ
from basswright.choose.ranking import Ranking, equals
from basswright.choose.rules import INDEX, RULES
from basswright.choose.search import draws_of
from basswright.choose.systems import score
from basswright.jobs import estimated
from basswright.records.amplifier import Amplifier
from basswright.records.electrics import Fixing
from basswright.records.enclosure import Enclosure
from basswright.records.job import Job
from basswright.records.placement import Placement
from basswright.records.system import Goals, Option, PowerMatch, SupplyPlan
from basswright.records.verdict import Relief, Verdict
from basswright.stages.sight import NO_COVER, unknown_cover
from basswright.stages.weigh import Weighed

#: Rules that `choose` itself answers; the others bring their own verdicts.
_GOAL_RULES = ("luggage", "budget", "loud enough", "low enough")
#: And this where a box may not be seen.
_SIGHT_RULE = "out of sight"


def option_id(
    enclosure: Enclosure, amplifier: Amplifier | None, *, rewired_ohm: float | None = None
) -> str:
    """Return the name of a system that stays the same from run to run."""
    name = f"{enclosure.id}--{'built-in' if amplifier is None else amplifier.id}"
    return name if rewired_ohm is None else f"{name}--{rewired_ohm:g}-ohm"


def estimates_of(job: Job) -> tuple[str, ...]:
    """Return the readings of a job that were estimated, each with its note."""
    told = [str(each) for each in estimated(job.car)]
    if unknown_cover(job):
        told.append(f"wish.visible: {NO_COVER}")
    return tuple(told)


@dataclass(frozen=True)
class Assembler:
    """Makes whole systems of the rows of one weighed job."""

    weighed: Weighed

    def options(self, ranking: Ranking, *, first: int | None = None) -> tuple[Option, ...]:
        """Return the ranked rows as options, or only the first so many of them."""
        rows = [int(row) for row in ranking.rows]
        ids = [self.id_of(row) for row in rows]
        equal = equals(self._score_draws(ranking.rows)) if ranking.wish_met else None
        return tuple(
            self.option(
                row,
                rank=place + 1,
                named=ranking.named.get(row, ()),
                equal_to=()
                if equal is None
                else tuple(ids[other] for other in np.flatnonzero(equal[place])),
            )
            for place, row in enumerate(rows[:first])
        )

    def _score_draws(self, rows: NDArray[np.intp]) -> NDArray[np.float64]:
        weighed, systems = self.weighed, self.weighed.systems
        wish = weighed.job.wish
        level, limit = draws_of(
            weighed.levels, weighed.feeds, systems.pairs, rows, wished_db=wish.level_db
        )
        return score(
            level,
            limit,
            price=systems.price[rows, None],
            hours=systems.hours(rows)[:, None],
            luggage_share=(systems.luggage_left_m3(rows) / weighed.own.luggage_space_m3)[:, None],
            wish=wish,
        )

    def parts_of(self, row: int) -> tuple[Enclosure, Amplifier | None]:
        """Return box, as it is wired, and amplifier of a row; None where it is built in."""
        weighed = self.weighed
        snapshot, feed = weighed.prepared.snapshot, weighed.systems.pairs.feed[row]
        enclosure = self._as_listed(row)
        output = int(weighed.feeds.output[feed])
        if output < 0:
            return enclosure, None
        wired = drive.as_wired(with_known_load(enclosure), float(weighed.feeds.load_ohm[feed]))
        index = int(weighed.prepared.outputs.amplifier_index[output])
        return wired, snapshot.amplifiers[index]

    def _as_listed(self, row: int) -> Enclosure:
        weighed = self.weighed
        box = weighed.kept[weighed.systems.pairs.box[row]]
        return weighed.prepared.snapshot.enclosures[int(box)]

    def id_of(self, row: int) -> str:
        """Return the id of a row's system; it names the load where that is not the stated one."""
        enclosure, amplifier = self.parts_of(row)
        stated = with_known_load(self._as_listed(row)).load_ohm
        other = amplifier is not None and enclosure.load_ohm != stated
        return option_id(enclosure, amplifier, rewired_ohm=enclosure.load_ohm if other else None)

    def option(
        self, row: int, *, rank: int, named: tuple[str, ...] = (), equal_to: tuple[str, ...] = ()
    ) -> Option:
        """Return a row as a whole system."""
        weighed, job = self.weighed, self.weighed.job
        enclosure, amplifier = self.parts_of(row)
        placement = self._placement(enclosure, int(weighed.kept[weighed.systems.pairs.box[row]]))
        feed = int(weighed.systems.pairs.feed[row])
        output = int(weighed.feeds.output[feed])
        match = drive.match(
            with_known_load(enclosure),
            amplifier,
            supply_voltage_v=job.car.charging.running_voltage_v,
            head_unit=job.car.head_unit,
            mode=None if output < 0 else weighed.prepared.outputs.modes[output],
        )
        stated = with_known_load(self._as_listed(row)).load_ohm or match.load_ohm
        # the search tells currents as for the stated load
        limit_a = float(weighed.feeds.current_a[feed]) * (stated / match.load_ohm) ** 0.5
        match = match.model_copy(update={"current_limit_a": limit_a})
        plan = supply.plan(
            job.car.charging,
            weighed.prepared.snapshot,
            peak_a=float(weighed.feeds.peak_a[feed]),
            average_a=float(weighed.feeds.average_a[feed]),
            steps=weighed.ladder,
        )
        heat = supply.heat_w(match.used_w, self._efficiency(output, enclosure))
        plan = plan.model_copy(update={"heat_w": float(heat)})
        fixing = fixing_for(enclosure, weighed.prepared.snapshot.fixings)
        goals = self._goals(row)
        return Option(
            id=self.id_of(row),
            rank=rank,
            score=float(weighed.systems.score[row]),
            equal_to=equal_to,
            named=named,
            enclosure=enclosure,
            amplifier=amplifier,
            match=match,
            supply=plan,
            placement=placement,
            fixing=fixing,
            lines=bill.lines(job, enclosure, amplifier, plan, fixing),
            goals=goals,
            verdicts=(
                *placement.verdicts,
                *self._amplifier_place(enclosure, amplifier, placement),
                held_down(enclosure, fixing),
                match.verdict,
                *plan.verdicts,
                *self._verdicts(row),
            ),
            reasons=self._reasons(goals, placement, plan, _power(match, amplifier)),
        )

    def _efficiency(self, output: int, enclosure: Enclosure) -> float:
        """Return the efficiency of a separate amplifier, or of the one built in."""
        if output >= 0:
            return float(self.weighed.prepared.outputs.efficiency_share[output])
        inner = enclosure.amplifier
        return BUILT_IN_EFFICIENCY[(inner and inner.amplifier_class) or "D"]

    def _placement(self, enclosure: Enclosure, box: int) -> Placement:
        """Return where a box stands; kept while neither space nor clearance change."""
        weighed, placed = self.weighed, self.weighed.placed
        if enclosure.id not in placed:
            clearance = weighed.job.wish.clearance_m
            found = space.place(weighed.space_of(box), enclosure, clearance_m=clearance)
            # luggage is counted in the whole space, whatever a cover parts it into
            left = max(0.0, weighed.own.luggage_space_m3 - found.luggage_lost_m3)
            placed[enclosure.id] = found.model_copy(update={"luggage_left_m3": left})
        return placed[enclosure.id]

    def _amplifier_place(
        self, enclosure: Enclosure, amplifier: Amplifier | None, placement: Placement
    ) -> tuple[Verdict, ...]:
        """Return where a separate amplifier goes, if its sheet tells how large it is."""
        if amplifier is None:
            return ()
        weighed, key = self.weighed, option_id(enclosure, amplifier)
        if key not in weighed.beside:
            weighed.beside[key] = space.amplifier_verdict(weighed.solid, placement, amplifier)
        verdict = weighed.beside[key]
        return () if verdict is None else (verdict,)

    def _goals(self, row: int) -> Goals:
        systems, wish = self.weighed.systems, self.weighed.job.wish
        pairs, one = systems.pairs, np.array([row])
        return Goals(
            level_db=float(pairs.level_db[row]),
            sure_level_db=float(pairs.sure_level_db[row]),
            low_limit_hz=float(pairs.low_limit_hz[row]),
            sure_low_limit_hz=float(pairs.sure_low_limit_hz[row]),
            luggage_left_m3=float(systems.luggage_left_m3(one)[0]),
            price=float(systems.price[row]),
            headroom_db=max(0.0, float(pairs.sure_level_db[row]) - wish.level_db),
            ease=float(systems.hours(one)[0]),
        )

    def _verdicts(self, row: int) -> tuple[Verdict, ...]:
        margins = self.weighed.systems.margins(np.array([row]))[0]
        currency = self.weighed.job.workshop.currency
        judged = _GOAL_RULES if self.weighed.job.wish.visible else (*_GOAL_RULES, _SIGHT_RULE)
        return tuple(_verdict(name, float(margins[INDEX[name]]), currency) for name in judged)

    def _reasons(
        self, goals: Goals, placement: Placement, plan: SupplyPlan, power: str
    ) -> tuple[str, ...]:
        wish = self.weighed.job.wish
        space_verdict = next(v for v in placement.verdicts if v.rule == "space")
        told = [reasons.loudness(goals, wish), reasons.depth(goals, wish, float(GRID_HZ[0]))]
        told += [reasons.tightest(space_verdict), power, reasons.supply(plan)]
        return tuple(told)


def _power(match: PowerMatch, amplifier: Amplifier | None) -> str:
    return reasons.power(match, built_in=amplifier is None)


def held_down(enclosure: Enclosure, fixing: Fixing | None) -> Verdict:
    """Tell whether the fixing holds the box in a crash, with the caution that goes with it."""
    force = mass_kg(enclosure) * HELD_AGAINST_M_PER_S2
    rated = 0.0 if fixing is None else fixing.rated_force_n
    passes = rated >= force
    return Verdict(
        rule="held down",
        passes=passes,
        margin=rated - force,
        unit="N",
        limit="working load of the fixing against 20 g",
        relief=None if passes else Relief(what="a stronger fixing", amount=force - rated, unit="N"),
        note="a loose box kills in a crash: fix it to the body, as the vehicle maker says",
    )


def _verdict(name: str, margin: float, currency: str) -> Verdict:
    rule = RULES[INDEX[name]]
    unit = currency if rule.unit == "money" else rule.unit
    passes = margin >= -1e-9
    text = rule.relief.format(amount=reasons.amount_text(abs(margin), rule.unit, currency))
    relief = None if passes else Relief(what=text, amount=-margin, unit=unit)
    return Verdict(
        rule=name, passes=passes, margin=margin, unit=unit, limit=rule.title, relief=relief
    )
