"""How a figure is written for a person: unit, digits, decimal sign, money, date."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final, Literal

from babel import Locale, UnknownLocaleError
from babel.dates import format_date
from babel.numbers import format_currency, format_decimal, format_percent

from basswright.errors import InputError

_INCH_M: Final = 0.0254
_FOOT_M: Final = 0.3048
_POUND_KG: Final = 0.45359237
_POUND_FORCE_N: Final = 4.4482216152605
_CUBIC_FOOT_M3: Final = _FOOT_M**3
_POUND_FOOT_NM: Final = _POUND_FORCE_N * _FOOT_M

#: Between a number and its unit; never broken at the end of a line.
SPACE: Final = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, kw_only=True)
class Writing:
    """Writes figures in one language, one system of units and one currency."""

    language: str
    lengths: Literal["metric", "inch"]
    currency: str

    @cached_property
    def locale(self) -> Locale:
        """The locale of the language; plain English goes by the units.

        Raises
        ------
        InputError
            When no such locale is known.
        """
        plain = "en-GB" if self.lengths == "metric" else "en-US"
        name = plain if self.language == "en" else self.language
        try:
            return Locale.parse(name.replace("-", "_"))
        except (UnknownLocaleError, ValueError) as error:
            raise InputError(
                "unknown locale", field="workshop.language", value=self.language
            ) from error

    def number(self, value: float, digits: int = 0) -> str:
        """Write a number with so many decimals; never a minus zero."""
        rounded = round(value, digits) + 0.0
        pattern = "#,##0" + ("." + "0" * digits if digits else "")
        return format_decimal(rounded, format=pattern, locale=self.locale)

    def quantity(self, value: float, unit: str, digits: int = 0) -> str:
        """Write a number and its unit."""
        return f"{self.number(value, digits)}{SPACE}{unit}"

    def length(self, length_m: float) -> str:
        """Write a length to be marked out: millimetres, or inches to a sixteenth."""
        if self.lengths == "metric":
            return self.quantity(length_m * 1000, "mm")
        return f"{_sixteenths(length_m / _INCH_M)}{SPACE}in"

    def cone(self, size_m: float) -> str:
        """Write the nominal size of a cone: millimetres, or inches to a half."""
        if self.lengths == "metric":
            return self.length(size_m)
        return self.length(round(2 * size_m / _INCH_M) / 2 * _INCH_M)

    def distance(self, length_m: float) -> str:
        """Write the length of a run: metres or feet, to a tenth, short ones finer."""
        if self.lengths == "metric":
            return self.quantity(length_m, "m", 1 if length_m >= 1 else 2)
        return self.quantity(length_m / _FOOT_M, "ft", 1)

    def volume(self, volume_m3: float) -> str:
        """Write a volume: litres, or cubic feet."""
        if self.lengths == "metric":
            return self.quantity(volume_m3 * 1000, "L")
        return self.quantity(volume_m3 / _CUBIC_FOOT_M3, "cu ft", 1)

    def mass(self, mass_kg: float) -> str:
        """Write a mass: kilograms, or pounds."""
        if self.lengths == "metric":
            return self.quantity(mass_kg, "kg", 1)
        return self.quantity(mass_kg / _POUND_KG, "lb", 1)

    def force(self, force_n: float) -> str:
        """Write a force that comes, rounded up to three digits: newtons, or pounds-force."""
        metric = self.lengths == "metric"
        value = _three_digits(force_n if metric else force_n / _POUND_FORCE_N, math.ceil)
        return self.quantity(value, "N" if metric else "lbf")

    def strength(self, force_n: float) -> str:
        """Write a force that can be held, rounded down to three digits."""
        metric = self.lengths == "metric"
        value = _three_digits(force_n if metric else force_n / _POUND_FORCE_N, math.floor)
        return self.quantity(value, "N" if metric else "lbf")

    def torque(self, torque_nm: float) -> str:
        """Write a torque: newton metres, or pound-feet."""
        if self.lengths == "metric":
            return self.quantity(torque_nm, "N·m")
        return self.quantity(torque_nm / _POUND_FOOT_NM, "lb·ft")

    def level(self, level_db: float) -> str:
        """Write a level to a tenth of a decibel."""
        return self.quantity(level_db, "dB", 1)

    def frequency(self, frequency_hz: float) -> str:
        """Write a frequency; tenths only where they are not zero."""
        digits = 0 if math.isclose(frequency_hz, round(frequency_hz), abs_tol=0.05) else 1
        return self.quantity(frequency_hz, "Hz", digits)

    def whole_hz(self, frequency_hz: float) -> str:
        """Write a frequency without decimals."""
        return self.quantity(frequency_hz, "Hz")

    def voltage(self, voltage_v: float, digits: int = 1) -> str:
        """Write a voltage."""
        return self.quantity(voltage_v, "V", digits)

    def current(self, current_a: float, digits: int = 0) -> str:
        """Write a current; below an ampere in milliamperes."""
        if digits == 0 and 0 < abs(current_a) < 1:
            return self.quantity(current_a * 1000, "mA")
        return self.quantity(current_a, "A", digits)

    def power(self, power_w: float) -> str:
        """Write a power."""
        return self.quantity(power_w, "W")

    def load(self, load_ohm: float) -> str:
        """Write a load in ohms."""
        digits = 0 if math.isclose(load_ohm, round(load_ohm), abs_tol=0.005) else 2
        return self.quantity(load_ohm, "Ω", digits)

    def share(self, share: float) -> str:
        """Write a share in per cent, with up to two decimals."""
        return format_percent(share, format="#,##0.##%", locale=self.locale)

    def hours(self, duration_h: float) -> str:
        """Write working time, with as many decimals as it has, up to two."""
        return f"{format_decimal(duration_h, format='#,##0.##', locale=self.locale)}{SPACE}h"

    def money(self, amount: float) -> str:
        """Write an amount of money."""
        return format_currency(amount, self.currency, locale=self.locale)

    def day(self, when: date) -> str:
        """Write a date with the month in letters, so that no one reads it wrongly."""
        return format_date(when, format="long", locale=self.locale)

    def duration(self, duration_s: float) -> str:
        """Write a duration to two digits: hours, minutes or seconds."""
        if duration_s >= 3600 * 9.95:
            return self.quantity(duration_s / 3600, "h")
        if duration_s >= 3600 * 0.995:
            hours = duration_s / 3600
            return self.quantity(hours, "h", 0 if round(hours, 1).is_integer() else 1)
        if duration_s >= 60:
            return self.quantity(duration_s / 60, "min")
        return self.quantity(duration_s, "s")

    def milliseconds(self, duration_s: float) -> str:
        """Write a delay in milliseconds."""
        return self.quantity(duration_s * 1000, "ms", 2)

    def signed(self, value: float, unit: str, digits: int = 1) -> str:
        """Write a difference with its sign."""
        shown = round(value, digits)
        sign = "+" if shown > 0 else "\N{MINUS SIGN}" if shown < 0 else ""
        return f"{sign}{self.quantity(abs(value), unit, digits)}"


def _sixteenths(inches: float) -> str:
    sixteenths = round(abs(inches) * 16)
    whole, rest = divmod(sixteenths, 16)
    sign = "\N{MINUS SIGN}" if inches < 0 and sixteenths else ""
    if rest == 0:
        return f"{sign}{whole}"
    over, under = rest, 16
    while over % 2 == 0:
        over, under = over // 2, under // 2
    fraction = f"{over}/{under}"
    return f"{sign}{whole}{SPACE}{fraction}" if whole else f"{sign}{fraction}"


def _three_digits(value: float, rounding: Callable[[float], int]) -> float:
    if value <= 0:
        return 0.0
    step = float(10 ** max(math.floor(math.log10(value)) - 2, 0))
    return rounding(round(value / step, 6)) * step
