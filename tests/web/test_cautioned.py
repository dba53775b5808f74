"""What a piece must not be used for stands before everything else: `first` in care/tables/cautions.csv."""

from footring.care.cautions import cautions
from footring.marks.foot import Foot
from footring.web.cautioned import grouped

TOLD = cautions(Foot(notes=("restored rim", "drilled foot")), (1900, 1999))


def test_strong_ones_come_first_and_those_of_every_piece_last():
    groups = grouped(TOLD)
    assert list(groups) == ["first", "own", "always"]
    assert {one.trigger for one in groups["first"]} == {'a drilled base: "drilled"'}
    assert 'a repair noted: "restored"' in {one.trigger for one in groups["own"]}
    assert {one.trigger for one in groups["always"]} == {"always shown"}


def test_none_is_lost_and_within_a_group_they_stay_as_they_came():
    groups = grouped(TOLD)
    assert sum(map(len, groups.values())) == len(TOLD)
    assert all([one for one in TOLD if one in group] == group for group in groups.values())
