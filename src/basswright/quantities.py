"""What a length, a load or a power is: reads what people write, gives SI floats.

Units exist only here, where a person or a file comes in, and where a figure goes
out. Inside, a field's name carries its unit, and the ending of the name says of
which kind it is (:data:`KIND_BY_SUFFIX`): ``width_m`` is read from ``"640 mm"``.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from basswright.errors import QuantityError

_INCH_M: Final = 0.0254
_POUND_KG: Final = 0.45359237

#: Kind -> unit as written -> factor to the unit held inside. International yard and
#: pound agreement 1959 for inch and pound; the rest are SI definitions.
UNITS: Final[dict[str, dict[str, float]]] = {
    "length": {
        "mm": 1e-3,
        "cm": 1e-2,
        "m": 1.0,
        "in": _INCH_M,
        "inch": _INCH_M,
        "inches": _INCH_M,
        '"': _INCH_M,
        "ft": 12 * _INCH_M,
        "foot": 12 * _INCH_M,
        "feet": 12 * _INCH_M,
        "'": 12 * _INCH_M,
    },
    "area": {
        "mm2": 1e-6,
        "cm2": 1e-4,
        "m2": 1.0,
        "in2": _INCH_M**2,
        "sq in": _INCH_M**2,
    },
    "volume": {
        "l": 1e-3,
        "litre": 1e-3,
        "litres": 1e-3,
        "liter": 1e-3,
        "liters": 1e-3,
        "ltr": 1e-3,
        "ml": 1e-6,
        "cm3": 1e-6,
        "cc": 1e-6,
        "m3": 1.0,
        "ft3": (12 * _INCH_M) ** 3,
        "cu ft": (12 * _INCH_M) ** 3,
        "cuft": (12 * _INCH_M) ** 3,
        "in3": _INCH_M**3,
        "cu in": _INCH_M**3,
    },
    "mass": {
        "kg": 1.0,
        "g": 1e-3,
        "lb": _POUND_KG,
        "lbs": _POUND_KG,
        "oz": _POUND_KG / 16,
    },
    "resistance": {
        "ohm": 1.0,
        "ohms": 1.0,
        "Ω": 1.0,
        "mohm": 1e-3,
        "mΩ": 1e-3,
        "kohm": 1e3,
        "kΩ": 1e3,
    },
    "power": {"w": 1.0, "watt": 1.0, "watts": 1.0, "kw": 1e3, "w rms": 1.0, "wrms": 1.0},
    "current": {"a": 1.0, "amp": 1.0, "amps": 1.0, "ma": 1e-3},
    "voltage": {"v": 1.0, "volt": 1.0, "volts": 1.0, "mv": 1e-3, "v rms": 1.0},
    "frequency": {"hz": 1.0, "khz": 1e3},
    "angle": {"deg": 1.0, "°": 1.0, "degrees": 1.0, "degree": 1.0, "rad": 180 / math.pi},
    "temperature": {"c": 1.0, "°c": 1.0, "degc": 1.0},
    "capacity": {"ah": 1.0},
    "level": {"db": 1.0, "db spl": 1.0},
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0},
    "inductance": {"h": 1.0, "mh": 1e-3, "uh": 1e-6, "µh": 1e-6},
    "capacitance": {"f": 1.0, "mf": 1e-3, "uf": 1e-6, "µf": 1e-6},
    "force": {"n": 1.0, "kn": 1e3, "dan": 10.0, "lbf": _POUND_KG * 9.80665},
    "force factor": {"tm": 1.0, "t m": 1.0, "n/a": 1.0},
    "compliance": {"m/n": 1.0, "mm/n": 1e-3, "um/n": 1e-6, "µm/n": 1e-6},
    "mechanical resistance": {"kg/s": 1.0, "ns/m": 1.0, "n s/m": 1.0},
    "share": {"%": 1e-2, "percent": 1e-2, "": 1.0},
    "number": {"": 1.0},
    "money": {"": 1.0},
}

#: Ending of a field's name -> kind of quantity. The longest ending wins.
KIND_BY_SUFFIX: Final[dict[str, str]] = {
    "_m": "length",
    "_m2": "area",
    "_m3": "volume",
    "_kg": "mass",
    "_ohm": "resistance",
    "_w": "power",
    "_a": "current",
    "_v": "voltage",
    "_hz": "frequency",
    "_deg": "angle",
    "_c": "temperature",
    "_ah": "capacity",
    "_db": "level",
    "_s": "time",
    "_henry": "inductance",
    "_farad": "capacitance",
    "_tm": "force factor",
    "_n": "force",
    "_m_per_n": "compliance",
    "_kg_per_s": "mechanical resistance",
    "_share": "share",
}

#: No figure that a person writes is longer; a longer text is something else.
_LONGEST_TEXT: Final = 80
_MOST_COILS: Final = 32
_LOWEST_C: Final = -273.15

_SPACES = re.compile(r"[\s\u00a0\u2007\u202f]+")
_UNSEEN = re.compile(r"[\u200b-\u200f\u2060\ufeff]")
_POWER_SIGN = re.compile(r"(?<=\d)[²³]")
_FRACTION = re.compile(r"^(?:(\d+)[ -])?(\d+)/(\d+)$")
_NUMBER = re.compile(r"^[+-]?(?:\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?$")
_NUMBER_AND_UNIT = re.compile(
    r"^([+-]?(?:"
    r"(?:\d+[ -])?\d+/\d+"
    r"|\d{1,3}(?:[ ']\d{3})+(?:[.,]\d+)?(?!\d)"
    r"|(?:\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?"
    r"))\s*(.*)$"
)
_FOOT_INCH = re.compile(r"^(\d+)\s*(?:ft|foot|feet|')\s*(.+?)\s*(?:in|inch|inches|\"|'')$", re.I)
_SUPERSCRIPTS = str.maketrans(
    {
        "²": "2",
        "³": "3",
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
        "\u2126": "Ω",
        "″": '"',
        "”": '"',
        "“": '"',
        "′": "'",
        "’": "'",
        "×": "x",
        "–": "-",
        "−": "-",
        "μ": "µ",
    }
)


def kind_of(field: str) -> str | None:
    """Return the kind of quantity that a field's name announces, or None.

    >>> kind_of("width_above_arches_m")
    'length'
    """
    fitting = [suffix for suffix in KIND_BY_SUFFIX if field.endswith(suffix)]
    return KIND_BY_SUFFIX[max(fitting, key=len)] if fitting else None


def name_without_unit(field: str) -> str:
    """Return the name by which a person knows the field (``width_m`` -> ``width``)."""
    fitting = [suffix for suffix in KIND_BY_SUFFIX if field.endswith(suffix)]
    return field[: -len(max(fitting, key=len))] if fitting else field


def tidy(text: str) -> str:
    """Return the text with one kind of space, quote, dash and superscript."""
    return _SPACES.sub(" ", _UNSEEN.sub("", text).translate(_SUPERSCRIPTS)).strip()


def _cleaned(text: str) -> str:
    if len(text) > _LONGEST_TEXT:
        raise QuantityError("too long for a figure", value=text)
    if _POWER_SIGN.search(text):
        raise QuantityError("a raised 2 or 3 right after a digit", value=text)
    return tidy(text)


def number(text: str, *, decimal: str = "") -> float:
    """Read a number as people write it.

    Decimal point or comma, thousands separators, fractions (``25 1/4``). With both
    signs in it, the last one is the decimal sign; a sign that stands twice separates
    thousands. A lone point is a decimal point, a lone comma a decimal comma, but
    ``1,200`` may be either and is refused unless `decimal` settles it.

    Parameters
    ----------
    text : str
        What was written.
    decimal : str
        ``"."`` or ``","`` where the whole file is known to use one; empty otherwise.

    Raises
    ------
    QuantityError
        When the text is not a finite number, or may be two different ones.
    """
    cleaned = _cleaned(text)
    fraction = _FRACTION.match(cleaned)
    if fraction:
        whole, over, under = fraction.groups()
        if int(under) == 0:
            raise QuantityError("a fraction over zero", value=text, allowed="such as 25 1/4")
        return int(whole or 0) + int(over) / int(under)
    grouped = re.fullmatch(r"[+-]?\d{1,3}([ ']\d{3})+([.,]\d+)?", cleaned)
    compact = re.sub(r"[ ']", "", cleaned) if grouped else cleaned
    if not _NUMBER.match(compact):
        raise QuantityError("not a number", value=text, allowed="such as 640, 64.5 or 25 1/4")
    value = float(_with_decimal_point(compact, text, decimal))
    if not math.isfinite(value):
        raise QuantityError("not a finite number", value=text)
    return value


def _with_decimal_point(compact: str, text: str, decimal: str) -> str:
    mantissa, exponent_sign, exponent = re.split(r"([eE]|$)", compact, maxsplit=1)
    signs = [sign for sign in mantissa if sign in ".,"]
    if not signs:
        return compact
    last = signs[-1]
    if len(set(signs)) == 2 and (signs.count(last) > 1 or decimal not in ("", last)):
        raise QuantityError("decimal and thousands signs are mixed up", value=text)
    if decimal:
        point = decimal
    elif len(set(signs)) == 2:
        point = last
    elif len(signs) > 1:
        point = "," if last == "." else "."
    elif last == "," and re.fullmatch(r"[+-]?[1-9]\d{0,2},\d{3}", mantissa):
        plain = mantissa.replace(",", "")
        raise QuantityError(
            "the comma may be a decimal or a thousands sign",
            value=text,
            allowed=f"{plain} or {mantissa.replace(',', '.')}",
        )
    else:
        point = last
    other = "," if point == "." else "."
    _check_thousands(mantissa, other, point, text)
    return mantissa.replace(other, "").replace(point, ".") + exponent_sign + exponent


def _check_thousands(mantissa: str, separator: str, point: str, text: str) -> None:
    whole = mantissa.split(point)[0].lstrip("+-")
    if separator in whole and not re.fullmatch(
        r"\d{1,3}(?:" + re.escape(separator) + r"\d{3})+", whole
    ):
        raise QuantityError("thousands are not in groups of three", value=text)
    if mantissa.count(point) > 1:
        raise QuantityError("more than one decimal sign", value=text)


def read(text: str, kind: str, *, decimal: str = "") -> float:
    """Read a quantity of the given kind.

    Parameters
    ----------
    text : str
        What a person wrote: ``"640 mm"``, ``"25 1/4 in"``, ``"5 ft 2 in"``.
    kind : str
        A key of :data:`UNITS`.
    decimal : str
        As in :func:`number`.

    Returns
    -------
    float
        In the unit held inside (SI; degrees Celsius, degrees, dB and Ah where the
        field's name says so).

    Raises
    ------
    QuantityError
        Unit missing or unknown, no number, or a number that is not finite.
    """
    allowed = allowed_units(kind)
    cleaned = _cleaned(text)
    both = _FOOT_INCH.match(cleaned) if kind == "length" else None
    if both:
        return _feet_and_inches(both[1], both[2], text, decimal)
    if kind == "money":
        return _money(cleaned, text, decimal)
    parts = _NUMBER_AND_UNIT.match(cleaned)
    if not parts:
        raise QuantityError(f"not a {kind}", value=text, allowed=allowed)
    value, unit = _number_in(text, parts[1], decimal), parts[2].strip()
    if kind == "temperature":
        return _celsius(value, unit, text)
    factor = _factor(unit, kind, text)
    if not math.isfinite(value * factor):
        raise QuantityError("not a finite number", value=text, allowed=allowed)
    return value * factor


def _number_in(text: str, part: str, decimal: str) -> float:
    try:
        return number(part, decimal=decimal)
    except QuantityError as error:
        raise QuantityError(error.problem, value=text, allowed=error.allowed) from None


def _feet_and_inches(feet: str, inches: str, text: str, decimal: str) -> float:
    rest = _number_in(text, inches, decimal)
    if not 0 <= rest < 12:
        raise QuantityError("feet go with 0 to 12 inches", value=text, allowed="such as 5 ft 2 in")
    return 12 * _INCH_M * int(feet) + _INCH_M * rest


def _money(cleaned: str, text: str, decimal: str) -> float:
    mark = r"(?:[A-Za-z]{3}|[€$£¥]|Fr\.?|kr\.?)"
    bare = re.sub(rf"^{mark} ?|[,.]-+(?= |$)| ?{mark}$", "", cleaned)
    return _number_in(text, bare, decimal)


def _celsius(value: float, unit: str, text: str) -> float:
    scale = unit.lower().removeprefix("°").removeprefix("deg")
    if scale not in ("c", "f", "k"):
        _factor(unit, "temperature", text)
    celsius = {"c": value, "f": (value - 32) / 1.8, "k": value + _LOWEST_C}[scale]
    if celsius < _LOWEST_C:
        raise QuantityError("colder than absolute zero", value=text)
    return celsius


def _factor(unit: str, kind: str, text: str) -> float:
    units = UNITS[kind]
    is_mega = unit.startswith("M") and kind not in ("length", "volume", "time")
    factor = units.get(unit, None if is_mega else units.get(unit.lower()))
    if factor is None:
        problem = f"unknown unit {unit!r} for a {kind}"
        if not unit:
            problem = f"the unit is missing from this {kind}"
        raise QuantityError(problem, value=text, allowed=allowed_units(kind))
    return factor


def allowed_units(kind: str) -> str:
    """Return the units of a kind as a person would list them."""
    examples = {
        "length": "mm, cm, m, in, ft (such as 640 mm or 25 1/4 in)",
        "volume": "L, m3, cm3, cu ft, cu in",
        "area": "cm2, m2, sq in",
        "mass": "kg, g, lb, oz",
        "resistance": "ohm, mohm",
        "power": "W, kW",
        "current": "A, mA",
        "voltage": "V, mV",
        "frequency": "Hz, kHz",
        "angle": "deg, rad",
        "temperature": "C, F or K",
        "capacity": "Ah",
        "level": "dB",
        "time": "s, ms, min, h",
        "inductance": "mH, uH, H",
        "capacitance": "uF, mF, F",
        "force factor": "Tm, N/A",
        "compliance": "mm/N, um/N, m/N",
        "mechanical resistance": "kg/s, Ns/m",
        "share": "a number such as 0.8, or 80 %",
        "money": "a number, such as 600 or 600 EUR",
        "number": "a number",
    }
    return examples.get(kind, ", ".join(unit for unit in UNITS[kind] if unit))


@dataclass(frozen=True, kw_only=True)
class CoilLoad:
    """A load as printed on a data sheet: how many coils, of how many ohms each."""

    coils: int
    ohm: float


def read_load(text: str) -> CoilLoad:
    """Read ``"2 ohm"`` or ``"2x4 ohm"`` (two coils of four ohms each)."""
    cleaned = _cleaned(text)
    several = re.match(r"^(\d+)\s*[xX*]\s*(.+)$", cleaned)
    coils, rest = (int(several[1]), several[2]) if several else (1, cleaned)
    ohm = read(rest, "resistance")
    if not 1 <= coils <= _MOST_COILS or ohm <= 0:
        raise QuantityError(
            "no load that a box can have",
            value=text,
            allowed=f"1 to {_MOST_COILS} coils of more than 0 ohm",
        )
    return CoilLoad(coils=coils, ohm=ohm)


@dataclass(frozen=True, kw_only=True)
class ConductorSize:
    """A conductor as it is named: the series it belongs to, and its number there."""

    series: str  # "AWG", "SAE" or "mm2"
    name: str  # "4", "1/0", "25"


def read_conductor(text: str) -> ConductorSize:
    """Read ``"4 AWG"``, ``"1/0 AWG"``, ``"4 SAE"`` or ``"25 mm2"``."""
    cleaned = _cleaned(text)
    gauge = re.match(r"^([1-4]/0|0{1,4}|[1-9]\d?)\s*(AWG|SAE|ga|gauge)$", cleaned, re.I)
    if gauge:
        if gauge[2].upper() not in ("AWG", "SAE"):
            raise QuantityError(
                "'gauge' alone does not say which series", value=text, allowed="4 AWG or 4 SAE"
            )
        name = f"{len(gauge[1])}/0" if re.fullmatch(r"0+", gauge[1]) else gauge[1]
        return ConductorSize(series=gauge[2].upper(), name=name)
    metric = re.match(r"^(\d+(?:[.,]\d+)?)\s*(mm2|mm\^2|sq ?mm|qmm)$", cleaned, re.I)
    if metric and number(metric[1]) > 0:
        return ConductorSize(series="mm2", name=f"{number(metric[1]):g}")
    raise QuantityError(
        "not a conductor size", value=text, allowed="such as 4 AWG, 1/0 AWG, 4 SAE or 25 mm2"
    )


@dataclass(frozen=True, kw_only=True)
class PowerRange:
    """A recommended amplifier power, RMS, in watts."""

    low_w: float
    high_w: float


def read_power_range(text: str) -> PowerRange:
    """Read ``"125-400 W RMS"`` or ``"400 W"`` (then both ends are equal).

    Raises
    ------
    QuantityError
        Upside down, not positive, or said to be a peak or "max" figure.
    """
    cleaned = _cleaned(text)
    if re.search(r"\b(peak|max|pmpo|dynamic|program(me)?)\b", cleaned, re.I):
        raise QuantityError(
            "a peak figure is not an RMS power", value=text, allowed="continuous (RMS) watts"
        )
    bare = re.sub(r"\s*\brms\b\s*", " ", cleaned, flags=re.I).strip()
    ends = re.match(r"^([\d.,]+)\s*(k?W)?\s*(?:-|to|\.\.\.?)\s*([\d.,]+\s*k?W)$", bare, re.I)
    if not ends:
        high = read(bare, "power")
        low = high
    else:
        high = read(ends[3], "power")
        unit = ends[2] or re.sub(r"[\d.,\s]", "", ends[3])
        low = read(f"{ends[1]} {unit}", "power")
    if low <= 0 or high <= 0:
        raise QuantityError("a power must be more than 0 W", value=text)
    if low > high:
        raise QuantityError("the power range is upside down", value=text)
    return PowerRange(low_w=low, high_w=high)


def millimetres(length_m: float) -> str:
    """Write a length for a person, in whole millimetres."""
    return f"{length_m * 1000:.0f} mm"


def litres(volume_m3: float) -> str:
    """Write a volume for a person, in litres."""
    value = volume_m3 * 1000
    return f"{value:.1f} L" if abs(value) < 10 else f"{value:.0f} L"


def decibels(level_db: float) -> str:
    """Write a level for a person, to a tenth of a decibel."""
    return f"{level_db:.1f} dB"
