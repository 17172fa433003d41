"""What does the fixing of a box have to hold?"""

from __future__ import annotations

from typing import Final

from basswright.papers.facts import Forces

#: Standard acceleration of gravity [m/s2], third CGPM 1901.
GRAVITY: Final = 9.80665

#: Share of the weight that a load pushes with while driving, vehicles to 2.0 t: forwards,
#: sideways, rearwards. VDI 2700 sheet 16, as printed in paper 09-0008 of the ESV conference.
DRIVING_SHARES: Final = (0.9, 0.7, 0.5)

#: Deceleration assumed for a crash, in multiples of g: 50 km/h lost in half a metre is
#: 19.7 g (v^2 / 2 s).
CRASH_G: Final = 20.0


def forces(mass_kg: float) -> Forces:
    """Return the forces on the fixing of a box, friction left out.

    Parameters
    ----------
    mass_kg : float
        Mass of the box [kg].

    Returns
    -------
    Forces
        Forces [N].
    """
    weight = mass_kg * GRAVITY
    forward, sideways, rearward = (share * weight for share in DRIVING_SHARES)
    return Forces(
        forward_n=forward,
        sideways_n=sideways,
        rearward_n=rearward,
        crash_n=CRASH_G * weight,
        crash_g=CRASH_G,
    )


#: Stress area [m2] of coarse metric threads, ISO 898-1 table 4.
STRESS_AREA_M2: Final = {"M6": 20.1e-6, "M8": 36.6e-6}

#: Proof stress of property class 8.8 to M16 [Pa], ISO 898-1 table 3.
PROOF_STRESS_PA: Final = 580e6


def tightening_torque_nm(thread: str) -> float:
    """Return the usual tightening torque of a dry steel bolt of class 8.8 in steel [N m].

    Parameters
    ----------
    thread : str
        A key of :data:`STRESS_AREA_M2`.

    Notes
    -----
    T = 0.2 F d with a preload F of 75 % of the proof load.

    References
    ----------
    R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design, chapter 8,
    equations for bolt torque (K = 0.2) and reusable joints (75 % of the proof load).
    """
    preload_n = 0.75 * PROOF_STRESS_PA * STRESS_AREA_M2[thread]
    return 0.2 * preload_n * float(thread[1:]) * 1e-3
