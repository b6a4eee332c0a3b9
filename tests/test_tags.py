"""Tags: from a child's own name alone, never the name itself, and never another child's."""

from __future__ import annotations

import itertools
import math
import string
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sheets.files.class_list import parse
from sheets.files.tags import choices, give_tags


def tags(*names: str) -> dict[str, str]:
    """Name -> tag in a class of which nobody has a tag of the teacher's."""
    return dict(zip(names, give_tags(names, [""] * len(names)), strict=True))


def likes(name: str) -> str:
    return next(choices(name))


def first_four(name: str) -> list[str]:
    return list(itertools.islice(choices(name), 4))


def rivals(letter: str, count: int = 2) -> tuple[str, ...]:
    """Names that like the same tag, found by trying."""
    by_tag: dict[str, list[str]] = {}
    for number in itertools.count():
        name = f"{letter}ame {number}"
        same = by_tag.setdefault(likes(name), [])
        same.append(name)
        if len(same) == count:
            return tuple(same)
    raise AssertionError


# --- one child ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "initial"),
    [
        ("Pip", "P"), ("bo", "B"), ("D'Arley", "D"), ("Sky-Jo", "S"), ("ñandu", "Ñ"), ("J", "J"),
        ("ßa", "ß"), ("7", "X"), ("3rd Ann", "R"), ("Ян", "Я"), ("美羽", "X"), ("İnci", "İ"),
    ],
)  # fmt: skip
def test_a_tag_is_the_initial_and_two_figures(name: str, initial: str) -> None:
    """The initial is a letter of the page font; which other fonts are there must not matter."""
    tag = tags(name)[name]

    assert tag[:-2] == initial
    assert tag[-2:].isdecimal()
    assert tags(name.upper().replace("SS", "ß"))[name.upper().replace("SS", "ß")] == tag


def test_figures_are_those_of_earlier_lists() -> None:
    """Another way to make them would give all children other tags, and other pages."""
    assert tags("Pip", "Bo", "Juniper") == {"Pip": "P67", "Bo": "B53", "Juniper": "J00"}
    assert give_tags(["Mia", "MIA", "Mia"], ["", "", ""]) == ["M29", "M69", "M52"]


@pytest.mark.parametrize("name", ["Bo", "Jo", "Al", "Ed", "Li", "Ann", "Andy", "J", "J12", "X7"])
def test_a_tag_is_never_the_whole_name(name: str) -> None:
    assert tags(name)[name].casefold() != name.casefold()


def test_a_name_that_is_its_own_first_choice_takes_the_second() -> None:
    names = (f"{letter}{n:02}" for letter in string.ascii_uppercase for n in range(100))
    own = next(name for name in names if likes(name) == name)

    assert tags(own)[own] == list(itertools.islice(choices(own), 2))[1]


def test_figures_are_spread_evenly() -> None:
    """Chi-squared over the hundred first choices of 20,000 names, as in the NIST/SEMATECH
    e-Handbook 1.3.5.15; 148.2 is the 0.1 % point of 99 degrees of freedom (from memory)."""
    found = Counter(likes(f"Name {number}") for number in range(20_000))

    assert sum((found[f"N{n:02}"] - 200) ** 2 / 200 for n in range(100)) < 148.2


# --- a class --------------------------------------------------------------------------------------


def test_two_who_like_the_same_tag_get_longer_ones_each_from_the_own_name() -> None:
    one, other = rivals("T")

    both = tags(one, other)

    assert len(both[one]) == len(both[other]) == 4
    assert both[one] in itertools.islice(choices(one), 2)
    assert both[other] in itertools.islice(choices(other), 2)
    assert both == tags(other, one)


def test_three_who_like_the_same_tag() -> None:
    three = rivals("T", 3)

    assert likes(three[0]) not in tags(*three).values()
    assert len(set(tags(*three).values())) == 3


def test_tag_of_the_teacher_and_names_are_never_given_to_another() -> None:
    liked = likes("Bo")

    assert (
        give_tags(["Bo", "Bobby"], ["", liked.lower()])[0]
        == list(itertools.islice(choices("Bo"), 2))[1]
    )
    assert tags("Bo", liked.lower())["Bo"] != liked


def test_tags_of_the_teacher_stay() -> None:
    assert give_tags(["Bo", "Mia"], ["x", ""]) == ["x", likes("Mia")]


def test_children_of_one_name_are_told_apart_and_a_third_changes_nothing() -> None:
    found = parse(b"name\nMia\nBo\nMIA\n", "class.csv").children
    assert [child.shown for child in found] == ["Mia (M29)", "Bo", "MIA (M69)"]

    more = parse(b"name\nMia\nBo\nMIA\nmia\n", "class.csv").children
    assert [child.tag for child in more[:3]] == [child.tag for child in found]


def test_how_often_two_children_of_a_class_like_the_same_tag() -> None:
    """The birthday problem: 20 children dealt over 12 initials make 8 pairs of one initial, and one
    pair in a hundred likes the same figures: it happens in about 1 - exp(-0.08) of the classes."""
    classes = 2_000
    met = 0
    for number in range(classes):
        names = [f"{'ABCDEFGHIJKL'[(7 * n + number) % 12]}{number} {n}" for n in range(20)]
        met += len({likes(name) for name in names}) < 20
    expected = 1 - math.exp(-8 / 100)

    assert abs(met / classes - expected) < 4 * math.sqrt(expected * (1 - expected) / classes)


# --- a class that changes -------------------------------------------------------------------------

NAME = st.text("abmABMÄñ -'0", min_size=1, max_size=5).map(str.strip).filter(bool)
CLASS = st.lists(NAME, max_size=40, unique_by=str.casefold)


@given(CLASS, CLASS)
@settings(deadline=None, max_examples=300)
def test_no_tag_goes_from_one_child_to_another_who_was_there_too(
    before: list[str], after: list[str]
) -> None:
    """For any two lists at all: what one child had, another child of both lists never has."""
    old, new = tags(*before), tags(*after)
    both = set(before) & set(after)

    owner = {old[name].casefold(): name for name in both}
    for name in both:
        assert owner.get(new[name].casefold(), name) == name


@given(CLASS.filter(bool), NAME, st.sampled_from(["add", "remove", "rename"]), st.data())
@settings(deadline=None, max_examples=300)
def test_a_change_of_one_child_leaves_the_others_alone(
    names: list[str], new: str, what: str, data: st.DataObject
) -> None:
    """Only who likes a tag that the one who comes or goes likes too, or is called, can have another
    one: of the first choices, and of the longer ones where a child has such a tag already."""
    at = data.draw(st.integers(0, len(names) - 1))
    if new.casefold() in {name.casefold() for name in names}:
        return
    gone = [] if what == "add" else [names[at]]
    come = [] if what == "remove" else [new]
    after = [*names[:at], *come, *names[at + len(gone) :]]

    old, now = tags(*names), tags(*after)

    concerned = {tag.casefold() for name in (*gone, *come) for tag in (name, *first_four(name))}
    for name in set(names) & set(after):
        longest = max(len(old[name]), len(now[name]))
        wanted = [tag.casefold() for tag in first_four(name) if len(tag) <= longest]
        if not concerned & set(wanted):
            assert now[name] == old[name]


@given(CLASS, st.randoms())
@settings(deadline=None)
def test_the_order_of_the_rows_is_no_matter(names: list[str], random: object) -> None:
    mixed = list(names)
    random.shuffle(mixed)  # type: ignore[attr-defined]

    assert tags(*mixed) == tags(*names)


@given(st.lists(NAME, max_size=60), st.data())
@settings(deadline=None)
def test_tags_are_unique_and_no_names(names: list[str], data: st.DataObject) -> None:
    """Names may be there twice, and some children may have a tag of the teacher's."""
    own = data.draw(st.lists(st.sampled_from(["", "", "Q1", "zz", "B53"]), min_size=len(names),
                             max_size=len(names)))  # fmt: skip
    given_ = [tag if tag not in own[:n] else "" for n, tag in enumerate(own)]

    found = give_tags(names, given_)

    assert len({tag.casefold() for tag in found}) == len(found)
    for tag, teacher in zip(found, given_, strict=True):
        assert tag == teacher if teacher else tag.casefold() not in {n.casefold() for n in names}


def test_five_hundred_children_of_one_initial() -> None:
    names = [f"Mia {number}" for number in range(500)]

    found = tags(*names)

    assert len(set(found.values())) == 500
    assert max(map(len, found.values())) <= 6
