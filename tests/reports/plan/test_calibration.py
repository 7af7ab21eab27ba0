"""A small run of `tests.tools.plan_calibration`; DEVELOPERS.md gives the figures of the full one."""

from tests.tools.plan_calibration import run


def test_what_is_given_a_good_chance_mostly_comes_true():
    rows = run(24)
    likely, unlikely = rows[rows["said"] >= 0.7], rows[rows["said"] < 0.3]
    assert len(likely) > 20 and len(unlikely) > 10
    assert likely["came"].mean() > 0.7
    assert unlikely["came"].mean() < 0.6
    assert abs(rows["said"].mean() - rows["came"].mean()) < 0.15
