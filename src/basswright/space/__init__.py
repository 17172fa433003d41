"""Does it go in?

:func:`solid` builds the load space from its readings (:func:`check` says what
contradicts itself); :func:`box_table` puts enclosures into columns; :func:`fit` answers
for all of them, :func:`place` for one in depth; :func:`drawings`, :func:`scene` and
:func:`sketch` show it; :func:`restraint` says how it has to be held.
"""

from basswright.space.amplifiers import amplifier_verdict
from basswright.space.boxes import BoxTable, box_table
from basswright.space.checks import check
from basswright.space.drawings import Drawings, drawings
from basswright.space.fit import fit
from basswright.space.placing import place
from basswright.space.restraints import Restraint, restraint
from basswright.space.scenes import scene
from basswright.space.sketches import sketch
from basswright.space.solids import KeepOut, Solid
from basswright.space.templates import solid

__all__ = [
    "BoxTable",
    "Drawings",
    "KeepOut",
    "Restraint",
    "Solid",
    "amplifier_verdict",
    "box_table",
    "check",
    "drawings",
    "fit",
    "place",
    "restraint",
    "scene",
    "sketch",
    "solid",
]
