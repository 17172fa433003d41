"""Drive and supply verdicts of a million pairs, whole tables against one pair at a time."""

from __future__ import annotations

from time import process_time

import numpy as np

from basswright.drive import match, match_table, outputs
from basswright.records.amplifier import Amplifier
from basswright.records.car import Charging, HeadUnit
from basswright.records.electrics import AlternatorUpgrade, BatteryUpgrade, Cable, Fuse, FuseHolder
from basswright.records.enclosure import Enclosure
from basswright.records.snapshot import Snapshot
from basswright.supply import SupplyLadder, currents, ladder, plan

_BOXES, _OUTPUTS = 2000, 500
_SUPPLY_V = 13.5


def _amplifiers(count: int, rng: np.random.Generator) -> list[Amplifier]:
    """Return invented mono amplifiers with ratings at 4, 2 and 1 ohm."""
    made = []
    for index in range(count):
        power = float(rng.uniform(80, 900))
        rated = {4.0: power, 2.0: power * 1.7, 1.0: power * 2.6}
        made.append(
            Amplifier.model_validate(
                {
                    "id": f"a{index}",
                    "maker": "Invented",
                    "model": str(index),
                    "channels": 1,
                    "ratings": tuple(
                        {"mode": "single", "load_ohm": load, "power_w": watts}
                        for load, watts in rated.items()
                    ),
                    "lowest_load_ohm": float(rng.choice([1.0, 2.0])),
                    "rated_voltage_v": 14.4,
                    "price": power,
                }
            )
        )
    return made


def car() -> Charging:
    """Return an invented common car."""
    return Charging(
        alternator_rated_a=120.0,
        alternator_idle_a=60.0,
        running_voltage_v=14.0,
        battery_kind="flooded",
        battery_capacity_ah=70.0,
        battery_cca_a=640.0,
        base_load_a=45.0,
        standing_drain_a=0.025,
        cable_route_m=5.5,
        ground_route_m=0.5,
    )


def shelf() -> Snapshot:
    """Return an invented shelf of supply parts."""
    sizes = ("8", "6", "4", "2", "1/0", "2/0")
    ratings = (40.0, 60.0, 80.0, 100.0, 130.0, 150.0, 200.0, 250.0)
    return Snapshot(
        currency="EUR",
        enclosures=(),
        amplifiers=(),
        cables=tuple(
            Cable(
                id=size,
                maker="Invented",
                model=size,
                price=2.0 + 2 * index,
                series="AWG",
                size=size,
                material="copper",
                insulation_c=105.0,
            )
            for index, size in enumerate(sizes)
        ),
        fuses=tuple(
            Fuse(
                id=f"{rating:g}",
                maker="Invented",
                model=f"{rating:g}",
                price=4.0,
                family="high-current",
                rating_a=rating,
                breaking_a=6000.0,
            )
            for rating in ratings
        ),
        fuse_holders=(
            FuseHolder(
                id="h",
                maker="Invented",
                model="h",
                price=15.0,
                family="high-current",
                largest_a=300.0,
            ),
        ),
        batteries=(
            BatteryUpgrade(
                id="b",
                maker="Invented",
                model="b",
                price=200.0,
                kind="agm",
                role="replace",
                capacity_ah=95.0,
                cca_a=850.0,
                labour_s=1800.0,
            ),
        ),
        alternators=(
            AlternatorUpgrade(
                id="l",
                maker="Invented",
                model="l",
                price=450.0,
                rated_a=200.0,
                idle_a=100.0,
                labour_s=7200.0,
            ),
        ),
        fixings=(),
    )


def _one_by_one(
    boxes: list[Enclosure], amplifiers: list[Amplifier], steps: SupplyLadder, parts: Snapshot
) -> float:
    head_unit = HeadUnit(signal="line", output_v=4.0)
    start = process_time()
    for box in boxes:
        for amplifier in amplifiers:
            found = match(box, amplifier, supply_voltage_v=_SUPPLY_V, head_unit=head_unit)
            peak, average = currents(found.used_w, 0.8, _SUPPLY_V)
            if np.isfinite(steps.price(peak, average)):
                plan(car(), parts, peak_a=float(peak), average_a=float(average), steps=steps)
    return process_time() - start


def main() -> None:
    """Print CPU times of a million pairs, and of one pair at a time."""
    rng = np.random.default_rng(1)
    amplifiers, parts = _amplifiers(_OUTPUTS, rng), shelf()
    load = rng.choice([1.0, 2.0, 2.67, 4.0, 8.0], _BOXES)
    high = rng.uniform(100, 900, _BOXES)
    start = process_time()
    table = outputs(amplifiers)
    made = process_time()
    steps = ladder(car(), parts)
    built = process_time()
    pairs = match_table(load, high / 3, high, table, supply_voltage_v=_SUPPLY_V)
    matched = process_time()
    peak, average = currents(
        pairs.used_w,
        table.efficiency_share,
        _SUPPLY_V,
        linear_stage=table.linear_stage,
        idle_current_a=table.idle_current_a,
    )
    verdicts = steps.verdicts(peak, average)
    judged = process_time()
    boxes = [
        Enclosure.model_validate(
            {
                "id": "box",
                "maker": "Invented",
                "model": "box",
                "kind": "closed",
                "shape": {"form": "cuboid", "width_m": 0.4, "height_m": 0.4, "depth_m": 0.3},
                "driver": {"size_m": 0.3},
                "load_ohm": float(ohm),
                "power_low_w": float(watts) / 3,
                "power_high_w": float(watts),
                "price": 1.0,
            }
        )
        for ohm, watts in zip(load[:10], high[:10], strict=True)
    ]
    slow = _one_by_one(boxes, amplifiers[:20], steps, parts)
    count = pairs.used_w.size
    print(f"{count:,} pairs, {int(verdicts.feed.passes.sum()):,} of them with a safe feed; CPU s")
    print(f"  records to output table   {made - start:8.3f}")
    print(f"  ladder of the car         {built - made:8.3f}")
    print(f"  drive verdicts            {matched - built:8.3f}")
    print(f"  currents, supply verdicts {judged - matched:8.3f}")
    print(f"  both verdicts             {judged - built:8.3f}")
    print(f"  one pair at a time        {slow / 200 * count:8.0f} (from 200 pairs)")
    print(f"  ratio                     {slow / 200 * count / (judged - built):8.0f}")


if __name__ == "__main__":
    main()
