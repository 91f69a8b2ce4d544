"""Running the decisions: ranges, what stands, and what never unsettles an answer."""

import dataclasses
import datetime
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decision.case import Facts
from decision.decisions import unknown_inputs
from decision.folder_reading import read_rule_folder
from decision.rule_book import RuleBook
from tests.kleene import outcome
from tests.random_rules import (
    CHANCES,
    STEADY,
    advice,
    case_values,
    limits_of,
    message,
    random_folder,
    stated_facts,
    that_can_be,
)
from tests.small_folder import decisions_over, small_files, write

TODAY = datetime.date(2026, 11, 24)
PERMISSIONS = {"suitable", "suitable_with_care"}
SMALL_CLEAN = {"base_width_mm": 4.0, "infected": False, "site": "trunk"}


def facts(known) -> Facts:
    return Facts(dict(known), dict(known), ())


@pytest.fixture
def run(small_folder):
    decisions = decisions_over(small_folder)
    yield lambda known: decisions.run(facts(known))
    decisions.close()


def suitability(book: RuleBook, known) -> dict:
    return book.recommend(message(known, book.vocabulary))["lesions"][0]["suitability"]


@pytest.mark.parametrize("beforehand", ["do_not_freeze", "suitable"])
def test_what_was_decided_beforehand_stands_for_later_decisions_and_both_means_agree(run, beforehand):
    settled = {**SMALL_CLEAN, "height_mm": 1.0, "cold_reaction": False}

    found = run({**settled, "suitability": beforehand})

    assert run(settled).ranges["suitability"].answer == "suitable"
    assert found.known["suitability"] == beforehand
    assert ("plan" in found.hits) == (beforehand == "suitable")


# --- two passes -------------------------------------------------------------------------------------------

WIDTHS = st.sampled_from([2.0, 4.0, 9.0])
SMALL_FACTS = st.fixed_dictionaries(
    {},
    optional={
        "base_width_mm": WIDTHS,
        "height_mm": WIDTHS,
        "infected": st.booleans(),
        "cold_reaction": st.booleans(),
        "site": st.sampled_from(["trunk", "pinna"]),
    },
)


@pytest.fixture(scope="module")
def small_decisions(small_folder):
    decisions = decisions_over(small_folder)
    yield decisions
    decisions.close()


@STEADY
@given(SMALL_FACTS, SMALL_FACTS, st.booleans())
def test_the_two_passes_over_a_case_find_what_each_finds_alone(small_decisions, without, added, only_added):
    known = {**added, **without} if only_added else added  # else a presumption also moved, or hid, something
    both = small_decisions.run(Facts(dict(known), dict(without), ("cold_reaction",)))

    given, stated = (small_decisions.run(facts(one)) for one in (known, without))

    assert (both.known, both.ranges) == (given.known, given.ranges)
    assert {name: hits.outcomes for name, hits in both.hits.items()} == {
        name: hits.outcomes for name, hits in given.hits.items()
    }
    assert both.stated_ranges == {name: stated.ranges[name] for name in both.stated_ranges}
    assert {name: hits.outcomes for name, hits in both.stated_hits.items()} == {
        name: stated.hits[name].outcomes for name in both.stated_hits
    }
    assert "suitability" in both.stated_ranges


# --- the range, against its definition --------------------------------------------------------------------


def answers_by_definition(folder, known, name, outcomes):
    """The answers that rules of a ladder, and cautions that raise it, bring with one of these outcomes."""
    own = [(one.conclude[_concluded(folder, name)], one) for one in folder.rules[name]]
    raising = [(one.conclude["raises_to"], one) for one in folder.rules["cautions"] if "raises_to" in one.conclude]
    met = [(answer, one) for answer, one in own + raising if outcome(one.written, known) in outcomes]
    return [answer for answer, _ in met], any(one.decision == name for _, one in met)


def _concluded(folder, name):
    return next(node.concludes for node in folder.decisions if node.name == name)


def most_cautious(folder, name, answers, own):
    """The most cautious answer; a caution alone never permits."""
    node = next(one for one in folder.decisions if one.name == name)
    forbidding = list(node.answers)[list(node.answers).index("watch") :]
    counted = answers if own else [one for one in answers if one in forbidding]
    return max(counted, key=list(node.answers).index, default=None)


def random_facts(chance, folder):
    limits = limits_of([one for rules in folder.rules.values() for one in rules])
    inputs = folder.vocabulary.inputs
    return {name: chance.choice(case_values(one, limits.get(name, ()))) for name, one in inputs.items()}


def some_of(chance, known, share=0.5):
    return {name: value for name, value in known.items() if chance.random() < share}


@STEADY
@given(CHANCES)
def test_a_range_runs_from_what_holds_to_what_holds_or_is_unknown(chance: random.Random):
    folder = random_folder(chance)
    known = some_of(chance, random_facts(chance, folder))
    decisions = decisions_over(folder)

    found = decisions.run(facts(known)).ranges["suitability"]

    decisions.close()
    at_least = most_cautious(folder, "suitability", *answers_by_definition(folder, known, "suitability", {"holds"}))
    could_become = most_cautious(
        folder, "suitability", *answers_by_definition(folder, known, "suitability", {"holds", "unknown"})
    )
    assert (found.at_least, found.could_become) == (at_least, could_become)


@STEADY
@given(CHANCES)
def test_learning_of_the_animal_never_leaves_the_range_of_any_ladder_of_a_random_book(chance: random.Random):
    folder = random_folder(chance)
    decisions = decisions_over(folder)
    everything = random_facts(chance, folder)
    clinical = {name for name, one in folder.vocabulary.inputs.items() if one.about in ("patient", "lesion")}
    before = some_of(chance, everything, 0.4)
    after = {**before, **{name: everything[name] for name in clinical if chance.random() < 0.5}}

    ranges = [decisions.run(facts(known)).ranges for known in (before, after)]

    decisions.close()
    for node in folder.decisions:
        if node.name in ranges[0]:
            assert lies_within(node, *(one[node.name]._asdict() for one in reversed(ranges)))


def lies_within(node, later, earlier) -> bool:
    risen = node.rank(earlier["at_least"]) <= node.rank(later["at_least"])
    return risen and node.rank(later["could_become"]) <= node.rank(earlier["could_become"])


@STEADY
@given(CHANCES)
def test_the_order_of_rules_does_not_matter(chance: random.Random):
    folder = random_folder(chance)
    shuffled = {name: tuple(chance.sample(rules, len(rules))) for name, rules in folder.rules.items()}
    known = some_of(chance, random_facts(chance, folder), 0.8)
    told = []
    for one in (folder, dataclasses.replace(folder, rules=shuffled)):
        decisions = decisions_over(one)
        found = decisions.run(facts(known))
        decisions.close()
        held = {
            rule.id: result
            for hits in found.hits.values()
            for rule, result in zip(hits.rules, hits.outcomes, strict=True)
        }
        told.append((found.ranges, held))

    assert told[0] == told[1]


# --- properties of whole books ----------------------------------------------------------------------------


@pytest.fixture(scope="module", params=["small_book", "toy_book", "shipped_book"])
def book(request) -> RuleBook:
    return request.getfixturevalue(request.param)


@pytest.fixture(scope="module")
def drawn(book, request):
    """Draws facts about the patient, the lesion and so on; of the shipped book, mostly facts that belong together."""
    shipped = book is request.getfixturevalue("shipped_book")
    starts = request.getfixturevalue("presentations").values() if shipped else ()

    def draw(data, *about):
        free = data.draw(stated_facts(book.folder, *about))
        start = data.draw(st.sampled_from([{}, *starts]))
        belonging = {name: value for name, value in start.items() if book.vocabulary.inputs[name].about in about}
        few = data.draw(CHANCES).sample(list(free), min(3, len(free))) if belonging else free
        return that_can_be({**belonging, **{name: free[name] for name in few}}, book.folder.contradictions)

    return draw


@STEADY
@given(st.data(), CHANCES)
def test_learning_never_leaves_the_range_without_presumptions(book, drawn, data, chance):
    after = drawn(data, "patient", "lesion")
    before = some_of(chance, after)
    node = next(one for one in book.folder.decisions if one.name == "suitability")

    later, earlier = (suitability(book, known)["without_presumptions"] for known in (after, before))

    assert lies_within(node, later, earlier)


@STEADY
@given(st.data(), CHANCES)
def test_learning_what_is_not_presumed_never_leaves_the_range(book, drawn, data, chance):
    after = drawn(data, "patient", "lesion")
    presumed = {name for name, one in book.vocabulary.inputs.items() if one.presumed is not None}
    presumed |= {name for one in book.vocabulary.inputs.values() for name in one.presumed_unless}
    before = {name: value for name, value in after.items() if name in presumed or chance.random() < 0.5}
    node = next(one for one in book.folder.decisions if one.name == "suitability")

    later, earlier = (suitability(book, known) for known in (after, before))

    assert lies_within(node, later, earlier)


@STEADY
@given(st.data())
def test_the_range_given_the_presumptions_lies_within_the_range_without_them(book, drawn, data):
    found = suitability(book, drawn(data, "patient", "lesion"))
    node = next(one for one in book.folder.decisions if one.name == "suitability")

    assert lies_within(node, found, found["without_presumptions"])


@STEADY
@given(st.data())
def test_stating_what_was_presumed_changes_only_what_is_listed_as_presumed(book, drawn, data):
    known = drawn(data, "patient", "lesion", "equipment")
    inputs = book.vocabulary.inputs.values()
    said = {one.name: one.presumed for one in inputs if one.presumed_beside(known)}
    before_parts = {name for name, one in book.vocabulary.inputs.items() if one.about in ("patient", "lesion")}
    stated = {**{name: value for name, value in said.items() if name in before_parts}, **known}

    silent, spoken = (book.recommend(message(one, book.vocabulary), trace=True) for one in (known, stated))

    assert _without_what_stating_changes(silent) == _without_what_stating_changes(spoken)


def _without_what_stating_changes(answer):
    lesion = {**answer["lesions"][0], "presumed": [], "suitability": {**answer["lesions"][0]["suitability"]}}
    del lesion["suitability"]["without_presumptions"]
    return {**answer, "case_digest": "", "conclusion_digest": "", "lesions": [lesion]}


@STEADY
@given(st.data())
def test_a_fact_that_was_stated_is_never_listed_as_presumed(book, drawn, data):
    known = drawn(data, "patient", "lesion")

    answer = book.recommend(message(known, book.vocabulary))["lesions"][0]

    assert not known.keys() & {one["input"] for one in answer["presumed"]}


@STEADY
@given(st.data())
def test_a_permission_is_given_only_when_it_is_settled(book, drawn, data):
    found = suitability(book, drawn(data, "patient", "lesion", "equipment"))

    assert found["verdict"] not in PERMISSIONS or found["at_least"] == found["could_become"] == found["verdict"]


@STEADY
@given(st.data())
def test_what_forbids_stands_whether_settled_or_not(book, drawn, data):
    found = suitability(book, drawn(data, "patient", "lesion"))

    assert found["at_least"] in {None, *PERMISSIONS} or found["verdict"] == found["at_least"]


@STEADY
@given(st.data())
def test_without_a_permission_there_is_no_method_and_no_plan(book, drawn, data):
    known = drawn(data, "patient", "lesion", "equipment", "operator")

    answer = book.recommend(message(known, book.vocabulary))["lesions"][0]

    permitted = answer["suitability"]["verdict"] in PERMISSIONS
    assert permitted or (answer["method"], answer["plan"], answer["preparation"]) == (None, None, [])


@STEADY
@given(st.data())
def test_the_shelf_never_changes_whether_to_freeze(book, drawn, data):
    animal = drawn(data, "patient", "lesion")
    shelf = drawn(data, "equipment", "operator")

    bare, stocked = (suitability(book, known) for known in (animal, {**animal, **shelf}))
    against = [one.pop("obstacle") for one in (bare, stocked)]
    said = [one.pop("summary").removesuffix(".") for one in (bare, stocked)]
    assert bare == stocked
    assert [one.removesuffix(f", but {but}") for one, but in zip(said, against, strict=True)] == [
        said[0].split(", but ")[0]
    ] * 2


# --- single steps of the small book -----------------------------------------------------------------------


def test_an_unsettled_permission_is_no_verdict(small_book):
    found = suitability(small_book, {"base_width_mm": 4.0, "infected": False})  # where is it?

    assert (found["verdict"], found["could_become"]) == (None, "watch")


def test_an_unsettled_permission_that_holds_is_no_verdict_either(small_book):
    # The wide one is permitted with care, but whether it is on the ear, to be watched, is not known.
    known = {"base_width_mm": 10.0, "infected": False, "diagnosis_basis": "cytology", "known_diagnosis": "skin_tag"}

    found = suitability(small_book, known)

    assert (found["at_least"], found["could_become"], found["verdict"]) == ("suitable_with_care", "watch", None)


def test_a_forbidding_answer_stands_while_it_could_become_more_cautious(small_book):
    found = suitability(small_book, {"site": "pinna"})

    assert (found["verdict"], found["settled"], found["could_become"]) == ("watch", False, "do_not_freeze")


def test_silence_is_never_permission(small_book):
    found = suitability(small_book, {})

    assert (found["verdict"], found["at_least"]) == (None, None)


def test_a_presumption_narrows_only_the_range_that_rests_on_it(small_book):
    found = suitability(small_book, SMALL_CLEAN)

    assert (found["could_become"], found["without_presumptions"]["could_become"]) == ("suitable", "do_not_freeze")


def test_a_caution_raises_a_permission(small_book):
    assert suitability(small_book, {**SMALL_CLEAN, "site": "eyelid_skin"})["verdict"] == "suitable_with_care"


def test_a_caution_that_forbids_stands_without_any_rule_of_the_ladder(small_book):
    assert suitability(small_book, {"cold_reaction": True})["verdict"] == "do_not_freeze"


def without_permitting_rules(folder):
    kept = [one for one in folder.rules["suitability"] if one.conclude["verdict"] not in PERMISSIONS]
    return dataclasses.replace(folder, rules={**folder.rules, "suitability": tuple(kept)})


def test_a_caution_that_raises_to_a_permission_never_permits_by_itself(small_folder):
    decisions = decisions_over(without_permitting_rules(small_folder))

    found = decisions.run(facts({**SMALL_CLEAN, "site": "eyelid_skin", "cold_reaction": False}))

    decisions.close()
    assert (found.ranges["suitability"].at_least, found.ranges["suitability"].could_become) == (None, None)


def test_a_caution_that_holds_shows_in_the_range_while_a_permission_is_open(run):
    # `suitable` is open only for the infection; the caution at the eye would raise it.
    known = {"base_width_mm": 4.0, "site": "eyelid_skin", "cold_reaction": False}

    assert run({**known, "infected": False}).ranges["suitability"].at_least == "suitable_with_care"


def test_decisions_after_an_unsettled_permission_are_not_run(run):
    found = run({"base_width_mm": 4.0, "infected": False})

    assert sorted(found.hits) == ["cautions", "suitability"]


def test_alternatives_are_asked_only_where_freezing_is_forbidden(run):
    asked = [
        "alternatives" in run({**known, "cold_reaction": False}).hits
        for known in (SMALL_CLEAN, {"site": "pinna"}, {"infected": True}, {})
    ]

    assert asked == [False, True, True, False]


def test_a_later_decision_reads_the_answer_of_an_earlier_one(run):
    found = run({**SMALL_CLEAN, "cold_reaction": False})

    assert (found.known["method"], [rule.name for rule in found.hits["plan"].held]) == (
        "cone",
        ["hold_a_cone"],
    )


def test_an_unstated_cryogen_does_not_unsettle_the_method(run):
    found = run({**SMALL_CLEAN, "cold_reaction": False}).ranges["method"]

    assert (found.answer, found.settled) == ("cone", True)


def test_a_stated_cryogen_counts_for_the_method(run):
    found = run({**SMALL_CLEAN, "cold_reaction": False, "cryogen": "other"}).ranges["method"]

    assert found.answer == "none"


def shelf_folder(tmp_path, when, unless):
    """The small folder in which another rule of the method waits for these tests."""
    files = small_files()
    waiting = files["method/use_nothing_with_another_cryogen.yaml"]
    waiting["when"], waiting["unless"] = when, unless
    waiting["examples"] = [{"title": "x", "case": {}, "outcome": word} for word in ("holds", "fails", "unknown")]
    return read_rule_folder(write(tmp_path / "rules", files))


@pytest.mark.parametrize(
    ("when", "unless", "could_become"),
    [
        ({"cryogen": "other"}, {}, "cone"),  # waits for the shelf alone
        ({"cryogen": "other", "swells": True}, {}, "cone"),  # cannot hold before the shelf is known
        ({"swells": True}, {}, "none"),  # waits for the animal
        ({"site": "trunk"}, {"cryogen": "ether"}, "cone"),
        ({"site": "trunk"}, {"cryogen": "ether", "swells": True}, "none"),  # holds as soon as it does not swell
        ({"site": "trunk"}, {"cryogen": "ether", "infected": False}, "cone"),  # the rest of the exception is met
    ],
)
def test_an_open_rule_widens_the_range_only_if_the_animal_alone_could_make_it_hold(
    tmp_path, when, unless, could_become
):
    decisions = decisions_over(shelf_folder(tmp_path, when, unless))

    found = decisions.run(facts({**SMALL_CLEAN, "cold_reaction": False})).ranges["method"]

    decisions.close()
    assert found.could_become == could_become


# --- what keeps a rule open -------------------------------------------------------------------------------

YES_OR_NO = {"about": "lesion", "type": "boolean", "question": "Is it so?", "risk": "none"}


@pytest.mark.parametrize(
    ("known", "names"),
    [
        ({}, ["a", "b", "c", "d"]),
        ({"a": True}, ["b", "c", "d"]),
        ({"a": True, "b": True}, ["c", "d"]),
        ({"a": True, "b": True, "c": True}, ["d"]),
        ({"a": True, "b": True, "c": False}, []),  # the exception cannot be met any more
        ({"c": False}, ["a", "b"]),
    ],
)
def test_a_rule_is_kept_open_by_what_is_not_stated_and_could_still_matter(known, names):
    inputs = dict.fromkeys("abcd", YES_OR_NO)
    (rule,) = advice(inputs, {"a": True, "b": True}, unless={"c": True, "d": True}).rules

    assert unknown_inputs(rule, known) == names
