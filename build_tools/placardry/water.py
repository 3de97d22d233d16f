"""Where plain water boils: saturation of water and pressure of the standard atmosphere.

Ground floor; pure arithmetic on floats, which is exact enough for advice and for nothing else.
"""

from __future__ import annotations

from math import sqrt

# IAPWS R7-97(2012), table 34; typed from memory, proved by the rows of its tables 35 and 36.
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
LEAST_PRESSURE, MOST_PRESSURE = 611.213, 22.064e6  # Pa; equation 31 holds between them

# US Standard Atmosphere 1976, constants and lowest layer; ISO 2533:1975 is the same below 32 km.
SEA_PRESSURE = 101_325.0  # Pa
SEA_TEMPERATURE = 288.15  # K
_LAPSE = -0.0065  # K/m
_TROPOPAUSE = 11_000.0  # m
_GRAVITY = 9.80665  # m/s2
_GAS_CONSTANT = 8314.32 / 28.9644  # J/(kg K), of air


def boiling_point(pressure: float) -> float:
    """The temperature at which plain water boils.

    Units: `pressure` absolute in Pa; the result in degrees Celsius.

    Raises:
        ValueError: the pressure is outside the span of the equation.

    Source: IAPWS R7-97(2012) equation 31.
    """
    if not LEAST_PRESSURE <= pressure <= MOST_PRESSURE:
        raise ValueError(f"water has no boiling point at {pressure} Pa")
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = sqrt(sqrt(pressure / 1e6))
    e = beta**2 + n3 * beta + n6
    f = n1 * beta**2 + n4 * beta + n7
    g = n2 * beta**2 + n5 * beta + n8
    d = 2 * g / (-f - sqrt(f**2 - 4 * e * g))
    kelvin = (n10 + d - sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2
    return kelvin - 273.15


def air_temperature(altitude: float) -> float:
    """The temperature of the standard atmosphere.

    Units: `altitude` geopotential in m, up to 11 km; the result in K.

    Raises:
        ValueError: the altitude is above the lowest layer, where another equation holds.

    Source: US Standard Atmosphere 1976 equation 23, lowest layer (number from memory).
    """
    if altitude > _TROPOPAUSE:
        raise ValueError(f"{altitude} m is above the lowest layer of the atmosphere")
    return SEA_TEMPERATURE + _LAPSE * altitude


def air_pressure(altitude: float) -> float:
    """The pressure of the standard atmosphere.

    Units: `altitude` geopotential in m, up to 11 km; the result in Pa.

    Raises:
        ValueError: the altitude is above the lowest layer, where another equation holds.

    Source: US Standard Atmosphere 1976 equation 33a.
    """
    ratio = SEA_TEMPERATURE / air_temperature(altitude)
    return float(SEA_PRESSURE * ratio ** (_GRAVITY / (_GAS_CONSTANT * _LAPSE)))
