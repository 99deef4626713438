"""Numbers for people to read."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.numbertext import shown


@pytest.mark.parametrize(("value", "digits", "text"), [
    (1673.4, 3, "1,670"), (184.2, 2, "180"), (999.6, 3, "1,000"), (99.6, 2, "100"), (0.00242, 3, "0.00242"),
    (-2052.0, 2, "-2,100"), (0.0, 3, "0"), (2.5e-7, 3, "0.00000025"), (1.0, 3, "1"), (12.5, 2, "12")])
def test_number_is_rounded_to_its_digits_without_an_exponent(value, digits, text):
    assert shown(value, digits) == text


@given(st.floats(-1e15, 1e15).filter(lambda v: v == 0 or abs(v) > 1e-12), st.sampled_from([2, 3]))
def test_what_is_shown_is_the_number_within_its_digits(value, digits):
    told = shown(value, digits)
    assert "e" not in told
    assert math.isclose(float(told.replace(",", "")), value, rel_tol=0.51 * 10 ** (1 - digits))
