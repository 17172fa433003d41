"""What the customer wants."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from basswright.records.base import Record
from basswright.records.enclosure import BoxKind

ALL_BOX_KINDS: tuple[BoxKind, ...] = ("closed", "vented", "passive-radiator", "bandpass")


class Weights(Record):
    """How much each goal counts in the single score; they need not add up to one."""

    loudness: float = Field(3.0, ge=0, le=10, description="how loud it plays, clean")
    depth: float = Field(2.0, ge=0, le=10, description="how low it plays")
    luggage: float = Field(1.0, ge=0, le=10, description="luggage that still goes in")
    price: float = Field(2.0, ge=0, le=10, description="how little it costs")
    headroom: float = Field(0.5, ge=0, le=10, description="amplifier and supply in reserve")
    ease: float = Field(0.5, ge=0, le=10, description="ease of fitting")


class Wish(Record):
    """What the system must do, keep and cost."""

    level_db: float = Field(
        ge=80,
        le=150,
        description="loudest clean level wanted at the ear, mean of the bands from 31.5 to 80 Hz",
    )
    low_limit_hz: float = Field(
        ge=10, le=80, description="how low that level has to be held, to within 10 dB"
    )
    luggage_keep_m3: float = Field(0.0, ge=0, le=5, description="luggage that must still go in")
    budget: float = Field(gt=0, le=1e6, description="for parts and labour, tax included")
    box_kinds: tuple[BoxKind, ...] = Field(
        ALL_BOX_KINDS, min_length=1, description="kinds of box allowed"
    )
    built_in_amplifier: Literal["either", "only", "never"] = Field(
        "either", description="boxes that bring their own amplifier"
    )
    visible: bool = Field(True, description="whether the box may be seen")
    doubtful_sheets: Literal["take as told", "trust less", "leave out"] = Field(
        "trust less", description="what becomes of data sheets whose figures clash"
    )
    clearance_m: float = Field(0.005, ge=0, le=0.2, description="air kept on every side")
    crossover_hz: float = Field(80.0, ge=40, le=200, description="low-pass towards the bass box")
    certainty_share: float = Field(
        0.8, ge=0.5, le=0.99, description="share of cases in which a promise must be kept"
    )
    weights: Weights = Field(default_factory=Weights)
