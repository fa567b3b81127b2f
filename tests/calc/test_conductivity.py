"""Scales there and back, and a reading corrected once only."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.conductivity import SCALES_PPM_PER_MS, ec25, ec_at, ec_from_ppm, ppm_from_ec, slope_of
from calc.errors import Impossible, OutOfRange

ecs = st.floats(0, 10)
scales = st.sampled_from(SCALES_PPM_PER_MS)
warmths = st.floats(10, 35)
slopes = st.floats(0.0175, 0.0198)


@given(ecs, scales)
def test_a_scale_goes_there_and_back(ec: float, scale: int) -> None:
    ppm = ppm_from_ec(ec_ms_per_cm=ec, scale_ppm_per_ms=scale)
    assert ec_from_ppm(tds_ppm=ppm, scale_ppm_per_ms=scale) == pytest.approx(ec)


@given(ecs, warmths, slopes)
def test_warmth_goes_there_and_back(ec: float, warmth: float, slope: float) -> None:
    raw = ec_at(ec25_ms_per_cm=ec, temperature_c=warmth, slope_per_c=slope)
    back = ec25(ec_ms_per_cm=raw, temperature_c=warmth, slope_per_c=slope, corrected=False)
    assert back == pytest.approx(ec)
    assert (raw >= ec) == (warmth >= 25) or raw == ec


@given(st.floats(10, 23.9), slopes)
def test_two_readings_tell_the_slope(warmth: float, slope: float) -> None:
    raw = ec_at(ec25_ms_per_cm=1.5, temperature_c=warmth, slope_per_c=slope)
    found = slope_of(ec_ms_per_cm=raw, temperature_c=warmth, ec25_ms_per_cm=1.5)
    assert found == pytest.approx(slope)


def test_refuses_to_correct_what_the_meter_has_corrected() -> None:
    with pytest.raises(Impossible, match="corrected_already"):
        ec25(ec_ms_per_cm=1.5, temperature_c=18, slope_per_c=0.0187, corrected=True)


def test_refuses_warmth_and_scales_outside_their_sources() -> None:
    with pytest.raises(OutOfRange, match=r"temperature = 4 C is outside 10 to 35 C"):
        ec25(ec_ms_per_cm=1.5, temperature_c=4, slope_per_c=0.0187, corrected=False)
    with pytest.raises(OutOfRange, match="scale = 50"):
        ec_from_ppm(tds_ppm=900, scale_ppm_per_ms=50)
    with pytest.raises(Impossible, match="same_temperature"):
        slope_of(ec_ms_per_cm=1.5, temperature_c=25, ec25_ms_per_cm=1.5)
