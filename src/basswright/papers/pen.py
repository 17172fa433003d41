"""What every sheet writes with: the facts, the phrases and the way of writing figures."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from basswright.papers.blocks import Block, Facts, Figure, Figures, Paper, Running
from basswright.papers.facts import PapersContext
from basswright.papers.language import Language, language
from basswright.papers.sayings import Sayings
from basswright.papers.writing import SPACE, Writing
from basswright.records.enclosure import Cuboid


@dataclass(frozen=True, kw_only=True)
class Pen:
    """Facts, phrases and figures of one job, ready to be put into blocks."""

    facts: PapersContext
    words: Language
    write: Writing
    sayings: Sayings

    def told(self, text: str) -> str:
        """Return a text of another room in the language and the units of the papers."""
        return self.sayings.say(text)

    def sentences(self, texts: Iterable[str]) -> tuple[str, ...]:
        """Return texts of other rooms, each with a capital at its beginning."""
        return tuple(sentence(self.told(text)) for text in texts)

    def amount(self, value: float, unit: str) -> str:
        """Write a signed margin in the unit of its rule."""
        if unit == "mm":
            sign = "+" if value > 0 else ""
            return sign + self.write.length(value / 1000)
        return self.write.signed(value, unit.replace("ohm", "Ω"))

    def say(self, key: str, **values: str | int) -> str:
        """Return a phrase."""
        return self.words.say(key, **values)

    def list(self, key: str, **values: str | int) -> tuple[str, ...]:
        """Return a list of phrases."""
        return self.words.all(key, **values)

    def paper(self, name: str, blocks: tuple[Block, ...], **values: str) -> Paper:
        """Return a finished paper with its head and foot."""
        head = self.facts.head
        number, revision = head.number, head.revision
        top = (
            self.say("running.job", number=number),
            self.say("running.revision", revision=revision),
            self.write.day(head.issued),
        )
        return Paper(
            name=name,
            language=self._words_are_in(),
            title=self.say(f"paper.{name}.title"),
            subtitle=self.say(f"{name}.subtitle", **values),
            running=Running(
                workshop=head.workshop,
                logo=head.logo,
                logo_alt=head.workshop or self.say("running.logo"),
                top=top,
                foot_left=" · ".join(part for part in self._foot(top) if part),
                page_of=self.words.phrases["running.page_of"],
            ),
            blocks=blocks,
        )

    def _foot(self, top: tuple[str, ...]) -> tuple[str, ...]:
        """Return the workshop's address; the job again where there is none."""
        head = self.facts.head
        own = (" ".join(head.address.split()), " ".join(head.contact.split()))
        return (head.workshop, *(own if any(own) else top))

    def _words_are_in(self) -> str:
        wanted, there = self.facts.head.language, self.words.name
        return wanted if wanted.split("-")[0] == there.split("-")[0] else there

    def job_facts(self, *, with_validity: bool = False) -> Facts:
        """Return who, which car, which job."""
        head, say = self.facts.head, self.say
        rows = [
            (say("head.customer"), head.customer or say("head.write_in")),
            (say("head.car"), head.car),
            (
                say("head.number"),
                f"{head.number}, {say('running.revision', revision=head.revision)}",
            ),
            (say("head.issued"), self.write.day(head.issued)),
        ]
        if with_validity:
            rows.append((say("head.valid_until"), self.write.day(head.valid_until)))
            if head.tax_number:
                rows.append((say("head.tax_number"), head.tax_number))
        return Facts(rows=tuple(rows))

    def size_rows(self) -> tuple[tuple[str, str], ...]:
        """Return the outer size of the box."""
        shape, length, say = self.facts.system.shape, self.write.length, self.say
        if isinstance(shape, Cuboid):
            depth = length(shape.depth_m)
        else:
            depth = say(
                "system.depth_wedge",
                bottom=length(shape.depth_bottom_m),
                top=length(shape.depth_top_m),
            )
        return (
            (say("system.width"), length(shape.width_m)),
            (say("system.height"), length(shape.height_m)),
            (say("system.depth"), depth),
        )

    def system_rows(self) -> tuple[tuple[str, str], ...]:
        """Return what the box and the amplifier are."""
        system, say, write = self.facts.system, self.say, self.write
        rows = [
            (say("system.box"), system.box),
            (say("system.kind"), say(f"system.kind_{system.box_kind}")),
            *self.size_rows(),
            (
                say("system.mass"),
                say("system.mass_unknown")
                if system.mass_kg is None
                else write.mass(system.mass_kg),
            ),
            (
                say("system.cones"),
                say(
                    "system.cones_value",
                    count=system.cone_count,
                    size=write.cone(system.cone_size_m),
                ),
            ),
            (say("system.amplifier"), system.amplifier or say("system.built_in")),
            (say("system.load"), write.load(system.load_ohm)),
            (
                say("system.power"),
                say("system.power_value", power=write.power(system.power_w)),
            ),
        ]
        zone = system.zone.replace(", ", "-").replace(" ", "-")
        rows.append((say("system.zone"), say(f"system.zone_{zone}")))
        if system.tuning_hz is not None:
            rows.insert(7, (say("system.tuning"), write.frequency(system.tuning_hz)))
        return tuple(rows)

    def low_limit(self, low_limit_hz: float) -> str:
        """Write a low limit; at the ends of what is looked at there is no exact figure."""
        promise = self.facts.promise
        if low_limit_hz <= promise.lowest_hz * (1 + 1e-9):
            return self.say("limit.or_lower", frequency=self.write.whole_hz(promise.lowest_hz))
        if low_limit_hz >= promise.highest_hz:
            return self.say("limit.not_held")
        return self.write.frequency(low_limit_hz)

    def drawing(self, name: str, height_mm: float) -> tuple[Figure, ...]:
        """Return a drawing as a figure, or nothing where there is none.

        A drawing that is to scale carries its own title, as it does on a drawing sheet.
        """
        return tuple(
            Figure(
                figure=name,
                caption="" if drawing.size_mm else self.say(f"figure.{name}.caption"),
                alt=self.say(f"figure.{name}.alt"),
                height_mm=drawing.size_mm[1] if drawing.size_mm else height_mm,
                width_mm=drawing.size_mm[0] if drawing.size_mm else None,
            )
            for drawing in self.facts.figures
            if drawing.name == name
        )

    def rows(self, drawings: tuple[Figure, ...]) -> tuple[Figures, ...]:
        """Return drawings side by side as far as they fit, each row a block."""
        room_mm = {"a4": 174.0, "us-letter": 179.9}[self.facts.head.paper]
        rows: list[list[Figure]] = []
        left_mm = 0.0
        for drawing in drawings:
            need_mm = drawing.width_mm or room_mm / 2 - 3
            if not rows or need_mm > left_mm:
                rows.append([])
                left_mm = room_mm
            rows[-1].append(drawing)
            left_mm -= need_mm + 6
        return tuple(Figures(items=tuple(row)) for row in rows)

    def response_alt(self) -> str:
        """Return what the chart of the level at the ear shows, in words."""
        bands = self.facts.promise.bands
        middle = bands[len(bands) // 2]
        return self.say(
            "tuning.response_alt",
            frequency=self.write.frequency(middle.frequency_hz),
            level=self.write.level(middle.level_db),
        )

    def response(self, caption: str, height_mm: float) -> Figures:
        """Return the chart of the level at the ear."""
        figure = Figure(
            figure="response", caption=caption, alt=self.response_alt(), height_mm=height_mm
        )
        return Figures(items=(figure,))


def pen(facts: PapersContext) -> Pen:
    """Return the pen for the language and the units of a job."""
    head, words = facts.head, language(facts.head.language)
    write = Writing(language=head.language, lengths=head.lengths, currency=head.currency)
    return Pen(
        facts=facts,
        words=words,
        write=write,
        sayings=Sayings(words=words, write=write),
    )


def sentence(text: str) -> str:
    """Return a text from elsewhere with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def joined(*parts: str) -> str:
    """Join parts of a table cell without a break between them."""
    return SPACE.join(part for part in parts if part)
