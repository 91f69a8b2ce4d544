"""A plan drawn to scale."""

from api.web.timeline import timeline_of

PLAN = {
    "spray_s": {"low": 3, "high": 5},
    "contact_s": {"low": 20, "high": 25},
    "thaw_s": {"p10": 30, "p50": 50, "p90": 70},
}


def test_phases_follow_each_other_from_the_long_end_of_the_one_before():
    line = timeline_of(PLAN)

    assert [one.name for one in line.phases] == ["Spray", "Hold", "Thaw"]
    assert [one.start for one in line.phases] == [0, 50, 300]  # of 1000 for 100 s
    assert [(one.sure, one.open) for one in line.phases] == [(30, 20), (200, 50), (300, 400)]


def test_a_phase_that_is_not_settled_is_left_out():
    assert [one.name for one in timeline_of({**PLAN, "spray_s": None}).phases] == ["Hold", "Thaw"]


def test_a_plan_without_any_settled_phase_is_not_drawn():
    assert timeline_of({"spray_s": None, "contact_s": None, "thaw_s": None}) is None


def test_the_scale_has_few_enough_marks_to_be_read():
    assert 2 <= len(timeline_of(PLAN).marks) <= 10
