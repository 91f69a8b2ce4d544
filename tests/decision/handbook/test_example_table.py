"""The table of worked examples: what differs is said, what is alike is said once."""

from __future__ import annotations

from decision.handbook.example_table import example_table

FIRST = {"species": "species: dog", "site": "site: trunk", "width": "width: 4 mm", "age": "age: 3 years"}


def example(title, outcome="holds", computed=None, **stated):
    return {
        "title": title,
        "stated": {name: f"{name}: {words}" for name, words in stated.items()},
        "computed": {name: f"{name}: {words}" for name, words in (computed or {}).items()},
        "outcome": outcome,
    }


def first(**computed):
    return {**example("a first one", computed=computed), "stated": FIRST}


def like_the_first(title, outcome="holds", computed=None, **changed):
    one = example(title, outcome, computed)
    stated = {**FIRST, **{name: f"{name}: {words}" for name, words in changed.items() if words}}
    return {**one, "stated": {name: said for name, said in stated.items() if changed.get(name, said) is not None}}


def rows(*examples):
    return example_table(examples).splitlines()[2:]


def test_the_first_example_says_all_that_is_known():
    assert rows(first()) == ["| a first one | species: dog; site: trunk; width: 4 mm; age: 3 years | applies |"]


def test_nothing_known_is_said_as_nothing():
    assert rows(example("bare", "unknown")) == ["| bare | nothing | stays open |"]


def test_an_example_like_the_first_says_only_what_differs():
    found = rows(first(), like_the_first("too wide", "fails", width="9 mm"))

    assert found[1] == "| too wide | as in the first, but width: 9 mm | does not apply |"


def test_a_fact_left_out_is_named():
    found = rows(first(), like_the_first("no age", "unknown", age=None))

    assert found[1] == "| no age | as in the first, but age not stated | stays open |"


def test_an_example_unlike_the_first_is_told_in_full():
    found = rows(first(), like_the_first("another", "fails", species="cat", site="ear", width="9 mm"))

    assert found[1] == "| another | species: cat; site: ear; width: 9 mm; age: 3 years | does not apply |"


def test_words_tried_in_turn_with_one_outcome_share_a_line():
    found = rows(first(), like_the_first("a lip", site="lip"), like_the_first("an ear", site="ear"))

    assert found[1:] == ["| 2 more, each with another site | as in the first, but site in turn: lip; ear | applies |"]


def test_words_tried_in_turn_with_different_outcomes_do_not_share_a_line():
    found = rows(first(), like_the_first("a lip", site="lip"), like_the_first("an ear", "fails", site="ear"))

    assert [row.split(" | ")[0] for row in found[1:]] == ["| a lip", "| an ear"]


def test_figures_do_not_share_a_line():
    """A figure on a limit and one beside it are what such examples are about."""
    found = rows(first(), like_the_first("on it", width="5 mm"), like_the_first("beside it", width="4.5 mm"))

    assert [row.split(" | ")[0] for row in found[1:]] == ["| on it", "| beside it"]


def test_what_is_computed_is_told_where_it_differs():
    found = rows(
        first(sampled="no"),
        like_the_first("sampled", "fails", {"sampled": "yes"}, site="lip"),
        like_the_first("older", "holds", {"sampled": "no"}, age="4 years"),
    )

    assert found[0].endswith("age: 3 years (so sampled: no) | applies |")
    assert found[1] == "| sampled | as in the first, but site: lip (so sampled: yes) | does not apply |"
    assert found[2] == "| older | as in the first, but age: 4 years | applies |"


def test_words_of_which_something_else_is_computed_do_not_share_a_line():
    found = rows(
        first(nature="benign"),
        like_the_first("a cyst", "fails", {"nature": "benign"}, site="lip"),
        like_the_first("a melanoma", "fails", {"nature": "malignant"}, site="ear"),
    )

    assert [row.split(" | ")[0] for row in found[1:]] == ["| a cyst", "| a melanoma"]


def test_two_facts_are_told_in_full():
    found = rows(example("both", species="dog", site="lip"), example("a cat", "fails", species="cat", site="lip"))

    assert found[1] == "| a cat | species: cat; site: lip | does not apply |"
