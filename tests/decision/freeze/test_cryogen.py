"""For which cryogens a band may be given."""

from __future__ import annotations

import pytest

from decision.freeze.lookup import cryogen_validity


def test_only_the_computed_mixture_is_validated():
    validated, statement = cryogen_validity("dimethyl_ether_propane")

    assert validated
    assert "two ex-vivo papers" in statement
    assert "Not checked" in statement


@pytest.mark.parametrize(
    "code", ["nitrous_oxide", "carbon_dioxide", "liquid_nitrogen", "tetrafluoroethane", "other", "anything"]
)
def test_every_other_cryogen_gets_no_band_and_is_told_why(code):
    validated, statement = cryogen_validity(code)

    assert not validated
    assert statement.startswith("No band: ")
