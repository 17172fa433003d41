"""Which things can be wrong? One small class a fault; the registry lists them all."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

import numpy as np

from basswright.proof.effects import (
    Effect,
    changed,
    flat,
    low_pass_db,
    supply_compression_db,
    wiring_effects,
)
from basswright.proof.plant import Change, Floats, Plant


class Fault(Protocol):
    """Something that may be wrong, and what it does at each strength."""

    name: str
    description: str
    check_next: str

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """Return the effect at every strength; empty where the fault cannot be."""


class GainLow:
    """The amplifier gives less voltage than planned, at every frequency."""

    name = "gain low"
    description = "The gain is set too low, or a level control in the chain is turned down."
    check_next = "Play the set-up tone and measure the voltage at the terminals."

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """2 to 18 dB, less of it likelier."""
        return [
            flat(
                plant, -drop, setting=f"gain {drop:.0f} dB too low", weight=float(np.exp(-drop / 9))
            )
            for drop in np.arange(2.0, 18.5, 0.5)
        ]


class WrongWiring:
    """Coils joined another way than planned, or some not at all."""

    name = "wrong wiring or load"
    description = "The coils are in series instead of parallel or the reverse, or one is open."
    check_next = "Unplug the box and measure the resistance at its terminals."

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """Every other series-parallel arrangement, and one coil left off."""
        return wiring_effects(plant)


class LowPassLow:
    """The low-pass towards the box is lower than planned, or there twice."""

    name = "low-pass too low"
    description = "The low-pass is set too low, or set in head unit and amplifier both."
    check_next = "Read the low-pass in the head unit and on the amplifier; only one may be on."

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """Corners from 0.35 to 0.9 of the plan."""
        frequency, corner = plant.frequency_hz, plant.facts.low_pass_hz
        planned = low_pass_db(frequency, corner)
        found = []
        for share in np.arange(0.35, 0.91, 0.05):
            curve = low_pass_db(frequency, share * corner) - planned
            setting = f"low-pass at about {share * corner:.0f} Hz instead of {corner:.0f} Hz"
            found.append(_filtered(plant, curve, setting, 1.0))
        found.append(_filtered(plant, planned, f"low-pass of {corner:.0f} Hz twice", 2.0))
        return found


class Leak:
    """The box leaks: a seal, a terminal cup, a cracked seam."""

    name = "leak"
    description = "Air escapes from the box."
    check_next = (
        "Feel for air around cone rim, terminal cup and seams with a 25 Hz tone at low level; "
        "press on the cone: a closed box comes back slowly."
    )

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """Q of the leak from 3 down to 0.15."""
        return [
            changed(
                plant,
                Change(leak_Q=float(Q)),
                setting=f"leak with a Q of about {Q:.2g}",
                weight=1.0,
            )
            for Q in np.geomspace(3.0, 0.15, 13)
        ]


class OneReversed:
    """One of two drivers, or of two coils, works against the other."""

    name = "one driver or coil reversed"
    description = "Two drivers (or the two coils of one) push against each other."
    check_next = "Play the polarity pulses: each cone has to jump outwards first."

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """What is left of the sum: 2 to 35 %."""
        if plant.facts.coils < 2:
            return []
        return [
            changed(
                plant,
                Change(opposed_share=float(left)),
                setting=f"{left:.0%} of the output left",
                weight=1.0,
            )
            for left in (0.02, 0.035, 0.06, 0.1, 0.17, 0.25, 0.35)
        ]


class FrontReversed:
    """Bass and front speakers cancel around the crossover."""

    name = "reversed against the front speakers"
    description = "The bass box is joined the wrong way round against the front speakers."
    check_next = (
        "Swap plus and minus at the box, or the polarity switch, and play both together: the "
        "louder way around the crossover is right."
    )

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """Nothing in the bass alone; the sum with the front speakers turns round."""
        return [replace(flat(plant, 0.0, setting="polarity swapped", weight=1.0), front_sum=-1)]


class BoxMoved:
    """The box stands elsewhere, or its cone looks another way."""

    name = "box moved or turned round"
    description = "The cone is not where the plan has it."
    check_next = "Compare the place of the box and the side of the cone with the fitting sheet."

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """Every place that the facts name."""
        return [
            changed(plant, Change(moved_m=move), setting=_moved_words(move), weight=1.0)
            for move in plant.facts.moves_m
        ]


class BootSealed:
    """The way from boot to cabin is narrower than planned."""

    name = "boot sealed off"
    description = "Trim, luggage or a raised seat back closes the way from boot to cabin."
    check_next = "Fold the seat or open the ski hatch and record again."

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """From half down to 2 % of the planned opening."""
        if not plant.facts.has_boot:
            return []
        return [
            changed(
                plant,
                Change(boot_opening_share=float(share)),
                setting=f"opening to the cabin {share:.0%} of the planned one",
                weight=1.0,
            )
            for share in np.geomspace(0.5, 0.02, 5)
        ]


class SupplySags:
    """The feed drops so much voltage that the amplifier clips early."""

    name = "supply sags"
    description = "Cable, ground point, fuse holder or battery drop too much voltage."
    check_next = (
        "Measure the voltage at the amplifier's supply terminals while the loud sweep plays, "
        "then from battery plus to amplifier plus and from amplifier minus to battery minus."
    )

    def effects(self, plant: Plant, *, played_dbfs: float, loud_dbfs: float) -> list[Effect]:
        """Resistance of the feed from 2 to 100 times the planned one."""
        base = plant.facts.supply_ohm
        quiet_plan, loud_plan = (
            supply_compression_db(plant, supply_ohm=base, played_dbfs=level)
            for level in (played_dbfs, loud_dbfs)
        )
        found = []
        for factor in np.geomspace(2.0, 100.0, 20):
            ohm = float(factor * base)
            quiet = supply_compression_db(plant, supply_ohm=ohm, played_dbfs=played_dbfs)
            loud = supply_compression_db(plant, supply_ohm=ohm, played_dbfs=loud_dbfs)
            effect = flat(plant, 0.0, setting=f"feed of about {1000 * ohm:.0f} mohm", weight=1.0)
            change = quiet - quiet_plan
            found.append(
                replace(
                    effect,
                    level_db=change,
                    close_db=change,
                    compression_db=loud - quiet - (loud_plan - quiet_plan),
                )
            )
        return found


#: Every fault that is looked for, in the order in which the documents list them.
FAULTS: tuple[Fault, ...] = (
    OneReversed(),
    FrontReversed(),
    Leak(),
    GainLow(),
    WrongWiring(),
    LowPassLow(),
    BoxMoved(),
    BootSealed(),
    SupplySags(),
)


def _filtered(plant: Plant, curve: Floats, setting: str, weight: float) -> Effect:
    effect = flat(plant, 0.0, setting=setting, weight=weight)
    at_tone = float(np.interp(45.0, plant.frequency_hz, curve))
    return replace(effect, level_db=curve, close_db=curve, tone_db=at_tone)


def _moved_words(move: tuple[float, float, float]) -> str:
    names = (("forwards", "rearwards"), ("to the left", "to the right"), ("up", "down"))
    parts = [
        f"{100 * abs(shift):.0f} cm {words[0] if shift > 0 else words[1]}"
        for shift, words in zip(move, names, strict=True)
        if abs(shift) > 0.01
    ]
    return "cone " + " and ".join(parts) if parts else "cone in its place"
