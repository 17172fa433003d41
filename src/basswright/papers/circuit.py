"""The whole wiring of a system as one circuit diagram, true to size on paper.

Feed with its fuse, ground, turn-on, signal and loudspeaker, each with its size and length;
symbols in the manner of IEC 60617, terminal numbers after DIN 72552.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from basswright.papers import symbols
from basswright.papers.facts import FigureFacts, Run
from basswright.papers.language import Language
from basswright.papers.writing import Writing
from basswright.records.amplifier import OutputMode
from basswright.records.electrics import BatteryUpgrade
from basswright.records.job import Job
from basswright.records.system import Option
from basswright.space.svg import Sheet

#: Farthest that the main fuse may sit from the battery [m] (33 CFR 183.455, 18 in).
FUSE_WITHIN_M: Final = 0.45
#: Fuse of a turn-on lead where it is tapped [A] (common practice, no source).
TURN_ON_FUSE_A: Final = 1.0

#: Output mode -> the amplifier's terminals from top to bottom, and which two are used.
OUTPUTS: Final[dict[OutputMode, tuple[tuple[str, ...], int, int]]] = {
    "single": (("+", "−"), 0, 1),
    "per-channel": (("1 +", "1 −", "2 +", "2 −"), 0, 1),
    "bridged": (("1 +", "1 −", "2 +", "2 −"), 0, 3),
}

# Where things stand, in millimetres on paper.
_PLUS_Y, _MINUS_Y, _TURN_ON_Y, _SIGNAL_Y = 14.0, 30.0, 56.0, 66.0
_BATTERY_X, _FUSE_X, _SECOND_X, _GROUND_X = 14.0, 33.0, 72.0, 91.0
_RADIO: Final = ((36.0, 50.0), (58.0, 72.0))
_AMPLIFIER: Final = ((98.0, 8.0), (128.0, 72.0))
_BOX: Final = ((142.0, 16.0), (172.0, 64.0))


@dataclass(frozen=True, kw_only=True)
class Circuit:
    """What the diagram shows."""

    runs: Sequence[Run]
    rating: str
    family: str
    battery: BatteryUpgrade | None
    new_alternator: bool
    mode: OutputMode
    amplifier: str
    box: str
    load_ohm: float
    speaker_level: bool


def circuit_figure(
    job: Job, option: Option, runs: Sequence[Run], *, words: Language, write: Writing
) -> FigureFacts:
    """Return the circuit diagram of a system as a figure of the papers."""
    plan, amplifier, box = option.supply, option.amplifier, option.enclosure
    circuit = Circuit(
        runs=runs,
        rating=write.current(plan.fuse.rating_a),
        family=words.say(f"circuit.family_{plan.fuse.family}"),
        battery=plan.battery,
        new_alternator=plan.alternator is not None,
        mode=option.match.mode,
        amplifier=f"{amplifier.maker} {amplifier.model}" if amplifier else "",
        box=f"{box.maker} {box.model}",
        load_ohm=option.match.load_ohm,
        speaker_level=job.car.head_unit.signal == "speaker",
    )
    return Diagram(circuit=circuit, words=words, write=write).figure()


@dataclass(frozen=True, kw_only=True)
class Diagram:
    """Draws a circuit in one language and one way of writing figures."""

    circuit: Circuit
    words: Language
    write: Writing

    def figure(self) -> FigureFacts:
        """Return the diagram with its size on paper."""
        sheet = Sheet()
        self._battery(sheet)
        self._feed(sheet)
        self._ground(sheet)
        self._radio(sheet)
        self._device(sheet)
        margin = 1.0
        svg = sheet.document(title=self.words.say("figure.wiring.alt"), margin=margin)
        size = tuple(sheet.high[k] - sheet.low[k] + 2 * margin for k in (0, 1))
        return FigureFacts(name="wiring", svg=svg, size_mm=(size[0], size[1]))

    def _say(self, key: str, **values: str) -> str:
        return self.words.say(f"circuit.{key}", **values)

    def _run(self, purpose: str) -> Run | None:
        return next((run for run in self.circuit.runs if run.purpose == purpose), None)

    def _size(self, purpose: str) -> str:
        """Return size and length of a run, as far as they are laid down."""
        run = self._run(purpose)
        if run is None:
            return ""
        length = "" if run.length_m is None else self.write.distance(run.length_m)
        return " · ".join(part for part in (run.size, length) if part)

    def _battery(self, sheet: Sheet) -> None:
        x, new = _BATTERY_X, self.circuit.battery
        symbols.battery(sheet, (x, 32.0))
        symbols.wire(sheet, (x, _PLUS_Y), (x, 29.0))
        symbols.wire(sheet, (x, 35.0), (x, 44.0))
        symbols.body(sheet, (x, 44.0))
        symbols.lines(sheet, (x + 1.6, 19.5), ("30",), anchor="start", bold=True)
        symbols.lines(sheet, (x + 1.6, 41.5), ("31",), anchor="start", bold=True)
        name = self._say("battery")
        if new is not None and new.role == "replace":
            name = self._say("battery_new", capacity=self.write.quantity(new.capacity_ah, "Ah"))
        if self.circuit.new_alternator:
            symbols.junction(sheet, (x, 24.0))
            symbols.wire(sheet, (x, 24.0), (x + 14, 24.0), (x + 14, 28.0))
            symbols.generator(sheet, (x + 14, 32.0))
            symbols.wire(sheet, (x + 14, 36.0), (x + 14, 44.0))
            symbols.body(sheet, (x + 14, 44.0))
            name = f"{name}; {self._say('alternator_new')}"
        symbols.lines(sheet, (0.0, 51.5), symbols.wrapped(name, 34.0), anchor="start")

    def _feed(self, sheet: Sheet) -> None:
        y, high = _PLUS_Y, _AMPLIFIER[0][0]
        symbols.wire(sheet, (_BATTERY_X, y), (_FUSE_X - 5, y))
        symbols.fuse(sheet, (_FUSE_X, y))
        symbols.wire(sheet, (_FUSE_X + 5, y), (high, y))
        fuse = f"{self.circuit.rating}, {self.circuit.family}"
        symbols.lines(sheet, (_FUSE_X, y - 7.0), ("F1", fuse))
        near = self._say("fuse_near", distance=self.write.length(FUSE_WITHIN_M))
        symbols.lines(sheet, (_FUSE_X - 5, y + 5.0), symbols.wrapped(near, 32.0), anchor="start")
        laid = (self._size("feed"), self._say("one_side"))
        symbols.lines(sheet, (high - 2.0, y - 5.0), laid, anchor="end")
        if self.circuit.battery is not None and self.circuit.battery.role == "second":
            self._second_battery(sheet, self.circuit.battery)

    def _second_battery(self, sheet: Sheet, second: BatteryUpgrade) -> None:
        x, y = _SECOND_X, _PLUS_Y
        symbols.junction(sheet, (x, y))
        symbols.wire(sheet, (x, y), (x, y + 2))
        symbols.fuse(sheet, (x, y + 7), upright=True)
        symbols.wire(sheet, (x, y + 12), (x, y + 14))
        symbols.battery(sheet, (x, y + 17))
        symbols.wire(sheet, (x, y + 20), (x, y + 23))
        symbols.body(sheet, (x, y + 23))
        symbols.lines(sheet, (x - 3, y + 8), (f"F2 {self.circuit.rating}",), anchor="end")
        capacity = self.write.quantity(second.capacity_ah, "Ah")
        name = symbols.wrapped(self._say("battery_second", capacity=capacity), 26.0)
        symbols.lines(sheet, (x - 5.5, y + 16), name, anchor="end")
        symbols.lines(sheet, (x + 1.6, y + 22), ("31",), anchor="start", bold=True)

    def _ground(self, sheet: Sheet) -> None:
        x, y, edge = _GROUND_X, _MINUS_Y, _AMPLIFIER[0][0]
        symbols.wire(sheet, (edge, y), (x, y), (x, y + 7))
        symbols.body(sheet, (x, y + 7))
        told = (self._size("ground"), self._say("bare_body"))
        symbols.lines(sheet, (edge - 1.5, y + 13.0), told, anchor="end")

    def _radio(self, sheet: Sheet) -> None:
        low, high = _RADIO
        edge = _AMPLIFIER[0][0]
        symbols.case(sheet, low, high)
        radio = symbols.wrapped(self._say("radio"), 13.0)
        symbols.lines(sheet, (low[0] + 1.5, (low[1] + high[1]) / 2 + 1.0), radio, anchor="start")
        if self._run("remote") is not None:
            symbols.terminal(sheet, (high[0], _TURN_ON_Y))
            symbols.wire(sheet, (high[0] + 0.9, _TURN_ON_Y), (edge, _TURN_ON_Y))
            symbols.lines(sheet, (high[0] - 1.8, _TURN_ON_Y + 1), ("75",), anchor="end", bold=True)
            fused = self._say("turn_on", current=self.write.current(TURN_ON_FUSE_A))
            symbols.lines(sheet, ((high[0] + edge) / 2, _TURN_ON_Y - 1.4), (fused,))
        symbols.terminal(sheet, (high[0], _SIGNAL_Y))
        symbols.wire(sheet, (high[0] + 0.9, _SIGNAL_Y), (edge, _SIGNAL_Y))
        level = self._say("signal_speaker" if self.circuit.speaker_level else "signal_line")
        symbols.lines(sheet, ((high[0] + edge) / 2, _SIGNAL_Y - 1.4), (level,))
        symbols.lines(sheet, ((high[0] + edge) / 2, _SIGNAL_Y + 4.4), (self._say("other_side"),))
        if self.circuit.speaker_level:
            symbols.lines(sheet, (high[0] - 1.8, _SIGNAL_Y + 1), ("76",), anchor="end", bold=True)

    def _device(self, sheet: Sheet) -> None:
        """Draw the amplifier and the box, or the box that has its amplifier inside."""
        (left, top), (right, foot) = _AMPLIFIER
        built_in = not self.circuit.amplifier
        right += 26.0 if built_in else 0.0
        symbols.case(sheet, (left, top), (right, foot))
        inputs = ((_PLUS_Y, "30 +"), (_MINUS_Y, "31 −"), (_SIGNAL_Y, self._say("input")))
        for y, name in (*inputs, *self._turn_on_input()):
            symbols.terminal(sheet, (left, y))
            symbols.lines(sheet, (left + 1.8, y + 1), (name,), anchor="start")
        if built_in:
            symbols.loudspeaker(sheet, (right - 14, 24.0))
            box = symbols.wrapped(self.circuit.box, 36.0)
            symbols.lines(sheet, ((left + right) / 2 + 7, 40.0), box, bold=True)
            return
        amplifier = symbols.wrapped(self.circuit.amplifier, right - left - 4)
        symbols.lines(sheet, ((left + right) / 2, 43.5), amplifier[:4], bold=True)
        self._outputs(sheet)

    def _turn_on_input(self) -> tuple[tuple[float, str], ...]:
        return ((_TURN_ON_Y, self._say("remote")),) if self._run("remote") is not None else ()

    def _outputs(self, sheet: Sheet) -> None:
        (left, top), (right, foot) = _BOX
        symbols.case(sheet, (left, top), (right, foot))
        names, plus, minus = OUTPUTS[self.circuit.mode]
        edge, middle = _AMPLIFIER[1][0], 27.0
        places = [middle + 7.0 * (k - (len(names) - 1) / 2) for k in range(len(names))]
        for name, y in zip(names, places, strict=True):
            symbols.terminal(sheet, (edge, y))
            symbols.lines(sheet, (edge - 1.8, y + 1), (name,), anchor="end")
        symbols.lines(sheet, (edge - 1.8, places[0] - 4.0), ("76",), anchor="end", bold=True)
        bend = (edge + left) / 2
        for place, to_y, sign in ((plus, middle - 2, "+"), (minus, middle + 2, "−")):
            symbols.wire(sheet, (edge + 0.9, places[place]), (bend, places[place]), (bend, to_y))
            symbols.wire(sheet, (bend, to_y), (left - 0.9, to_y))
            symbols.terminal(sheet, (left, to_y))
            symbols.wire(sheet, (left + 0.9, to_y), (left + 9, to_y))
            offset = -1.2 if sign == "+" else 3.2
            symbols.lines(sheet, (left + 4, to_y + offset), (sign,))
        symbols.loudspeaker(sheet, (left + 9, middle))
        symbols.lines(
            sheet,
            (left + 17, middle + 1),
            (self.write.load(self.circuit.load_ohm),),
            anchor="start",
        )
        box = symbols.wrapped(self.circuit.box, right - left - 3)
        symbols.lines(sheet, ((left + right) / 2, middle + 14), box[:5], bold=True)
        wires = symbols.wrapped(self._say("loudspeaker", size=self._speaker_size()), 42.0)
        symbols.lines(sheet, (right, foot + 4.4), wires, anchor="end")

    def _speaker_size(self) -> str:
        run = self._run("loudspeaker")
        inch = "_inch" if self.write.lengths == "inch" else ""
        usual = self.words.say(f"fitting.loudspeaker_size{inch}")
        return (run.size if run else "") or usual
