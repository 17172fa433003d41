"""The words of the pages: names of readings, how to take them, what a figure means."""

from __future__ import annotations

from typing import Final

#: The stages, in the order in which a job goes through them: address, name, icon.
STAGES: Final = (
    ("car", "Car", "car"),
    ("wish", "Wish", "volume"),
    ("options", "Options", "list-details"),
    ("system", "System", "cube-3d-sphere"),
    ("papers", "Papers", "file-text"),
    ("proof", "Proof", "microphone"),
)

#: Dotted key -> name on the page, where the key itself does not read well.
LABELS: Final = {
    "car.load_space.kind": "Kind of space",
    "car.load_space.width_floor": "Width at the floor",
    "car.load_space.width_above_arches": "Width above the arches",
    "car.load_space.depth_floor": "Depth at the floor",
    "car.load_space.depth_top": "Depth at the top",
    "car.load_space.seat_lean": "Lean of the seat back",
    "car.load_space.arch_length": "Arch, length",
    "car.load_space.arch_height": "Arch, height",
    "car.load_space.arch_from_seat": "Arch, from the seat back",
    "car.load_space.spare_well_diameter": "Spare-wheel well, diameter",
    "car.load_space.spare_well_depth": "Spare-wheel well, depth",
    "car.load_space.tolerance": "Tape tolerance",
    "car.load_space.opening.width": "Opening, width",
    "car.load_space.opening.height": "Opening, height",
    "car.load_space.opening.sill": "Opening, sill",
    "car.cabin.length": "Cabin, length",
    "car.cabin.width": "Cabin, width",
    "car.cabin.height": "Cabin, height",
    "car.cabin.volume": "Air volume",
    "car.cabin.boot_volume": "Closed boot, air volume",
    "car.cabin.boot_opening": "Closed boot, opening to the cabin",
    "car.listener.ear_x": "Ears, ahead of the seat back",
    "car.listener.ear_y": "Ears, left of the middle",
    "car.listener.ear_z": "Ears, above the load floor",
    "car.charging.alternator_rated": "Alternator, rated",
    "car.charging.alternator_idle": "Alternator, at idle",
    "car.charging.running_voltage": "Voltage, engine running",
    "car.charging.battery_kind": "Battery, kind",
    "car.charging.battery_capacity": "Battery, capacity",
    "car.charging.battery_cca": "Battery, cold-cranking amps",
    "car.charging.base_load": "The car's own load by night",
    "car.charging.standing_drain": "Drain of the parked car",
    "car.charging.cable_route": "Cable, battery to amplifier",
    "car.charging.ground_route": "Ground, amplifier to body",
    "car.head_unit.signal": "Signal of the radio",
    "car.head_unit.output": "Output of the radio",
    "wish.level": "How loud",
    "wish.low_limit": "How low",
    "wish.luggage_keep": "Luggage to keep",
    "wish.budget": "Budget",
    "wish.box_kinds": "Kinds of box",
    "wish.built_in_amplifier": "Built-in amplifier",
    "wish.visible": "May be seen",
    "wish.clearance": "Air around the box",
    "wish.crossover": "Crossover",
    "wish.certainty": "How sure",
    "wish.weights.loudness": "Loudness",
    "wish.weights.depth": "Depth of bass",
    "wish.weights.luggage": "Luggage",
    "wish.weights.price": "Price",
    "wish.weights.headroom": "Reserve",
    "wish.weights.ease": "Ease of fitting",
    "workshop.tax": "Sales tax",
}

#: How to take a reading, where the drawing does not say it. Common practice, no source.
HOW_TO: Final = {
    "car.charging.alternator_rated": "On its label, in amperes. If there is none, ask the vehicle "
    "maker's parts list.",
    "car.charging.alternator_idle": "Clamp meter round the alternator's output cable, engine warm "
    "and idling, lights, fan and heated glass on.",
    "car.charging.running_voltage": "Voltmeter across the battery posts, engine warm, lights on.",
    "car.charging.battery_capacity": "On its label, in Ah (20 hours).",
    "car.charging.battery_cca": "On its label, in A (EN). SAE and DIN figures differ.",
    "car.charging.base_load": "Clamp meter round the battery's ground lead, engine just off, "
    "ignition, lights, wipers and heated glass on.",
    "car.charging.standing_drain": "Clamp meter for small currents round the ground lead; car "
    "locked, and half an hour of patience.",
    "car.charging.cable_route": "Lay a string the way the cable will go, then measure the string.",
    "car.head_unit.output": "RMS, at full scale and still clean: on the data sheet, or measured "
    "with a 50 Hz test tone.",
    "car.listener.ear_x": "From the foot of the rear seat back forwards to the driver's ear.",
    "car.cabin.boot_opening": "Add up the openings: ski hatch, shelf holes, gaps round the seat.",
}

#: What goes with each table of a car, in the order of the page.
CAR_SECTIONS: Final = (
    ("car.load_space", "The load space", "Tape measure at the open tailgate."),
    ("car.load_space.opening", "The opening", "The hole that the box has to pass."),
    ("car.cabin", "The cabin", "The air in which the bass is heard."),
    ("car.listener", "The ears", "Where the driver's head is."),
    ("car.charging", "What feeds it", "Read from labels, meter and clamp."),
    ("car.head_unit", "The radio", "What signal the amplifier gets."),
)

#: An honest line on each kind of box.
BOX_KINDS: Final = {
    "closed": ("Closed", "Smallest for its cone; even, forgiving, needs the most power down low."),
    "vented": ("Vented", "Louder near its tuning; larger; must be kept from playing below it."),
    "passive-radiator": (
        "Passive radiator",
        "Reaches as low as a vented box without port noise; costs more, needs two cones' room.",
    ),
    "bandpass": ("Bandpass", "Loud in a narrow range; large and heavy; little to adjust later."),
}

#: Level at the ear in dB, up to which the words hold. From memory, common practice.
_LOUDNESS: Final = (
    (98.0, "fuller than the car's own sound, talk goes on"),
    (104.0, "lively: you raise your voice"),
    (110.0, "felt in the seat; a good concert"),
    (116.0, "dance-floor bass; ear plugs for long drives"),
    (122.0, "very loud: only for minutes, ears protected"),
    (200.0, "show level: never without hearing protection"),
)

#: Ends of the range in which a low limit is told [Hz]: forty steps to a decade from 15.8.
LOWEST_WEIGHED_HZ: Final = 16.0
NOT_HELD_FROM_HZ: Final = 79.4
#: Frequency in Hz, down to which the words hold. Pitches: ISO 16 (A4 = 440 Hz), equal
#: temperament.
_DEPTH: Final = (
    (55.0, "kick drum; the lowest notes of a bass guitar are missing"),
    (41.2, "down to the lowest string of a bass guitar (E1, 41 Hz)"),
    (30.9, "down to a five-string bass (B0, 31 Hz)"),
    (27.5, "down to the lowest key of a piano (A0, 27.5 Hz)"),
    (20.0, "the whole of what is heard as a tone"),
    (0.0, "below hearing: felt only"),
)


def loudness(level_db: float) -> str:
    """Say in plain words how loud a bass level is."""
    return next(words for limit, words in _LOUDNESS if level_db <= limit)


def depth(frequency_hz: float) -> str:
    """Say in plain words how low a limit is."""
    return next(words for limit, words in _DEPTH if frequency_hz >= limit)


def label(path: str) -> str:
    """Return the name of a reading."""
    return LABELS.get(path) or path.rpartition(".")[2].replace("_", " ").capitalize()


def word(value: str) -> str:
    """Return a choice as it stands on a page."""
    named = {
        "suv": "SUV", "efb": "EFB", "agm": "AGM", "flooded": "flooded lead-acid",
        "line": "line output", "speaker": "speaker wires only", "either": "either way",
        "only": "wanted", "never": "not wanted", "a4": "A4", "us-letter": "US letter",
        "behind-seat": "behind a pickup's seat", "under-seat": "under the rear seat",
        "console": "between the front seats", "spare-wheel-well": "in the spare-wheel well",
        "saloon": "saloon boot",
    }  # fmt: skip
    return named.get(value, value.replace("-", " "))


def body(name: str) -> str:
    """Return a car template as it stands on a page."""
    return {"suv": "an SUV", "estate": "an estate"}.get(name, f"a {name}")


def low_limit(frequency_hz: float) -> str:
    """Write how low a level is held; the ends of the range that is weighed mean more."""
    if frequency_hz >= NOT_HELD_FROM_HZ:
        return "not held"
    if frequency_hz <= LOWEST_WEIGHED_HZ:
        return f"≤ {LOWEST_WEIGHED_HZ:.0f} Hz"
    return f"{frequency_hz:.0f} Hz"
