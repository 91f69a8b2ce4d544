"""What a proof says: of a sound folder, of folders with one planted fault, and of random ones against every case."""

import contextlib
import itertools
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from decision.errors import RuleBookError
from decision.rule_book import RuleBook
from decision.rule_folder import RuleFolder
from decision.verification.answer_boxes import AnswerBoxes
from decision.verification.box_cover import gaps
from decision.verification.coverage import answered, apart
from decision.verification.direction import levels_of, steady
from decision.verification.examination import examine
from decision.verification.proof import CHECKS, SEED, Proof, prove
from decision.verification.proof_table import found_in, headings, noted_in, rows_of
from decision.verification.rule_boxes import RuleBoxes
from decision.verification.witness import Witness
from tests.random_books import book_files, every_case, folder_of, judged, random_files
from tests.small_folder import rule, small_files

EVERY_OUTCOME = [(said, {}) for said in ("holds", "fails", "unknown")]


def sound_files() -> dict[str, Any]:
    """The small folder, with another way for each of its refusals and every quantity of its plan."""
    files = small_files()
    for answer in ("watch", "do_not_freeze"):
        files[f"alternatives/leave_it_{answer}.yaml"] = rule(
            {"suitability": answer},
            {"what": "leave_alone", "by_when": f"after {answer}"},
            ("holds", {"suitability": answer}),
            ("fails", {"suitability": "sample_first"}),
            ("unknown", {}),
        )
    return files


@pytest.fixture
def proof_of(tmp_path: Path):
    """Proves files; the book is closed when the test is over."""
    books: list[RuleBook] = []

    def proved(files: dict[str, Any]) -> Proof:
        books.append(RuleBook(folder_of(files, tmp_path / f"rules{len(books)}")))
        return prove(books[-1])

    yield proved
    for book in books:
        book.close()


def found(proof: Proof, check: str) -> list[str]:
    return [one.shows for one in proof.counterexamples if one.check == check]


def test_a_sound_folder_is_proved(proof_of: Callable[[Any], Proof]):
    proof = proof_of(sound_files())

    assert proof.holds, found_in(proof)
    assert not found_in(proof)


# --- one planted fault each ------------------------------------------------------------------------------


def test_a_case_that_no_rule_answers_is_found(proof_of):
    files = sound_files()
    del files["suitability/watch_the_ear.yaml"]

    proof = proof_of(files)

    assert found(proof, "always answers") == ["no rule of suitability holds."]
    case = proof.counterexamples[0].case
    assert (case["site"], case["infected"]) == ("pinna", False)
    assert case["base_width_mm"] < 10


def test_a_statement_that_raises_a_verdict_is_no_answer_by_itself(proof_of):
    files = sound_files()
    del files["suitability/leave_an_infected_one.yaml"]
    files["cautions/leave_an_infected_one.yaml"] = rule(
        {"infected": True},
        {"urgency": "info", "summary": "It is infected.", "detail": "So leave it.", "raises_to": "do_not_freeze"},
        ("holds", {"infected": True}),
        ("fails", {"infected": False}),
        ("unknown", {}),
    )

    proof = proof_of(files)

    assert found(proof, "always answers") == ["no rule of suitability holds."]
    assert proof.counterexamples[0].case["infected"] is True


def test_a_permitted_case_without_a_method_is_found(proof_of):
    files = sound_files()
    del files["method/use_nothing_on_a_very_wide_one.yaml"]

    proof = proof_of(files)

    assert found(proof, "always answers") == ["no rule of method holds."]
    assert proof.counterexamples[0].case["base_width_mm"] > 12


def test_a_method_missing_only_where_nothing_is_permitted_is_no_fault(proof_of):
    files = sound_files()
    del files["method/use_a_cone.yaml"]
    for name, test in (("under", "< 300"), ("exactly", ">= 300")):
        files[f"method/foam_{name}.yaml"] = rule(
            {"base_width_mm": test, "infected": False},
            {"applicator": "foam_tip"},
            ("holds", {"base_width_mm": 299 if name == "under" else 300, "infected": False}),
            ("fails", {"infected": True}),
            ("unknown", {}),
        )

    assert not found(proof_of(files), "always answers")


def test_a_quantity_that_is_missing_under_one_method_is_found(proof_of):
    files = sound_files()
    files["plan/hold_a_foam_tip.yaml"]["when"]["site"] = "trunk"
    files["plan/hold_a_foam_tip.yaml"]["examples"] = [
        {"title": said, "case": case, "outcome": said}
        for said, case in (
            ("holds", {"method": "foam_tip", "site": "trunk"}),
            ("fails", {"method": "cone"}),
            ("unknown", {}),
        )
    ]

    proof = proof_of(files)

    assert found(proof, "always answers") == ["no rule of contact_s, method foam_tip holds."]


def test_a_quantity_that_no_rule_gives_under_a_method_is_not_wanted_there(proof_of):
    files = sound_files()
    del files["plan/hold_a_foam_tip.yaml"]

    proof = proof_of(files)

    assert proof.holds
    assert proof.quantities["contact_s"] == ["cone"]
    assert proof.quantities["cycles"] == ["cone", "foam_tip"]


def test_a_refusal_without_another_way_is_found(proof_of):
    files = sound_files()
    del files["alternatives/leave_it_watch.yaml"]

    proof = proof_of(files)

    assert found(proof, "always answers") == ["no rule of alternatives, suitability watch holds."]
    assert proof.counterexamples[0].case["site"] == "pinna"


def test_an_answer_that_falls_when_a_risk_rises_is_found_with_the_step(proof_of):
    files = sound_files()
    files["suitability/freeze_a_sampled_one_with_care.yaml"]["conclude"] = {"verdict": "suitable"}
    files["suitability/freeze_a_small_one.yaml"]["conclude"] = {"verdict": "suitable_with_care"}

    proof = proof_of(files)

    (said,) = found(proof, "cautious direction")
    assert said.startswith("freeze_a_small_one held, base_width_mm moves up in risk from 0.5 to 10")


def test_an_answer_that_goes_silent_when_a_risk_rises_is_found(proof_of):
    files = sound_files()
    del files["suitability/sample_a_wide_one.yaml"]

    proof = proof_of(files)

    assert any("base_width_mm moves up in risk from 0.5 to 10" in said for said in found(proof, "cautious direction"))


def test_a_statement_that_lets_go_when_a_risk_rises_is_found(proof_of):
    files = sound_files()
    files["cautions/take_care_at_the_eye.yaml"]["when"]["base_width_mm"] = "< 5"
    files["cautions/take_care_at_the_eye.yaml"]["examples"][0]["case"]["base_width_mm"] = 4

    proof = proof_of(files)

    (said,) = found(proof, "cautious direction")
    assert said.startswith("take_care_at_the_eye held, base_width_mm moves up in risk from 0.5 to 5")


def test_a_rule_that_stands_twice_is_found(proof_of):
    files = sound_files()
    twin = dict(files["suitability/watch_the_ear.yaml"])
    twin["when"] = {"site": {"not": ["trunk", "eyelid_skin"]}}  # other words, the same cases
    files["suitability/watch_the_ear_again.yaml"] = twin

    proof = proof_of(files)

    assert found(proof, "stands once") == [
        "watch_the_ear and watch_the_ear_again hold in the same cases and conclude the same."
    ]


def test_two_values_of_one_quantity_are_found_where_a_real_case_has_both(tmp_path):
    files = sound_files()
    files["plan/hold_longer.yaml"] = rule(
        {"method": "cone", "site": "trunk"}, {"contact_s": {"low": 30, "high": 40}}, *EVERY_OUTCOME
    )
    folder = folder_of(files, tmp_path / "rules")  # no book: the loader refuses such a folder
    answers = AnswerBoxes(folder, RuleBoxes(folder))

    claims = list(apart(answers.nodes["plan"], answers))

    assert {tuple(one.name for one in claim.rules) for claim in claims} == {("hold_a_cone", "hold_longer")}


def test_two_values_that_meet_only_where_the_plan_is_not_asked_are_no_conflict(tmp_path):
    files = sound_files()
    files["plan/hold_longer.yaml"] = rule(
        {"method": "cone", "infected": True}, {"contact_s": {"low": 30, "high": 40}}, *EVERY_OUTCOME
    )
    folder = folder_of(files, tmp_path / "rules")
    answers = AnswerBoxes(folder, RuleBoxes(folder))

    assert not list(apart(answers.nodes["plan"], answers))


# --- what is free, what differs, what is listed ----------------------------------------------------------


def width_by_bore(*tests: str) -> dict[str, Any]:
    """The sound folder with rules on the bore that a cone needs, which rests on the base width."""
    files = sound_files()
    for number, test in enumerate(tests):
        files[f"suitability/by_bore_{number}.yaml"] = rule(
            {"needed_bore_mm": test},
            {"verdict": "do_not_freeze"},
            ("holds", {"base_width_mm": 300 if ">" in test else 1}),
            ("fails", {"base_width_mm": 1 if ">" in test else 300}),
            ("unknown", {}),
        )
    return files


def test_a_gap_between_computed_quantities_is_shown_by_a_real_case(proof_of):
    files = width_by_bore("< 5", "> 6")
    for name in [name for name in files if name.startswith("suitability/") and "by_bore" not in name]:
        if not name.endswith("decision.yaml"):
            del files[name]

    proof = proof_of(files)

    case = next(one.case for one in proof.counterexamples if one.check == "always answers")
    assert 5 <= case["base_width_mm"] + 1.5 <= 6


def test_a_gap_that_no_real_case_shows_is_left_open_and_not_called_a_counterexample(proof_of):
    files = sound_files()
    for name in [name for name in files if name.startswith("suitability/") and not name.endswith("decision.yaml")]:
        del files[name]
    for name, when in (("low", {"base_width_mm": "< 8"}), ("high", {"needed_bore_mm": ">= 9.5"})):  # 8 mm and 1.5 mm
        files[f"suitability/{name}.yaml"] = rule(
            when,
            {"verdict": "do_not_freeze"},
            ("holds", {"base_width_mm": 1 if name == "low" else 9}),
            ("fails", {"base_width_mm": 9 if name == "low" else 1}),
            ("unknown", {}),
        )

    proof = proof_of(files)

    assert not found(proof, "always answers")
    assert not proof.holds
    assert any(line.startswith("suitability, always answers, left open") for line in found_in(proof))


def test_a_fall_of_a_computed_quantity_is_shown_by_two_real_cases(proof_of):
    files = width_by_bore("< 5")

    proof = proof_of(files)

    fall = next(one for one in proof.counterexamples if one.check == "cautious direction")
    assert fall.before is not None
    assert fall.before["base_width_mm"] + 1.5 < 5 <= fall.case["base_width_mm"] + 1.5
    assert {**fall.before, "base_width_mm": fall.case["base_width_mm"]} == fall.case


def test_a_computed_quantity_that_moves_with_a_risk_is_proved_where_the_vocabulary_says_so(proof_of):
    files = width_by_bore(">= 290")
    files["vocabulary.yaml"]["inputs"]["needed_bore_mm"]["risk"] = "rises"

    proof = proof_of(files)

    assert proof.holds, found_in(proof)


def test_what_is_taken_as_free_is_said(proof_of):
    said = list(noted_in(proof_of(width_by_bore(">= 290"))))

    assert any(line.startswith("In suitability taken as free") and "needed_bore_mm" in line for line in said)


def test_an_engine_that_answers_otherwise_than_the_boxes_is_reported(tmp_path):
    files = sound_files()
    sound = folder_of(files, tmp_path / "sound")
    files["suitability/watch_the_ear.yaml"]["when"] = {"site": "trunk"}
    files["suitability/watch_the_ear.yaml"]["examples"][0]["case"] = {"site": "trunk"}
    files["suitability/watch_the_ear.yaml"]["examples"][1]["case"] = {"site": "pinna"}
    book = RuleBook(folder_of(files, tmp_path / "other"))
    boxes = RuleBoxes(sound)
    answers = AnswerBoxes(sound, boxes)

    check = examine(
        "always answers", answered(answers.nodes["suitability"], answers), Witness(book, boxes, SEED), boxes
    )
    book.close()

    assert any("watch_the_ear should hold" in line for line in check.differing)
    assert not check.proved


def test_a_rule_beside_which_a_more_cautious_one_always_holds_is_only_listed(proof_of):
    files = sound_files()
    files["suitability/watch_an_infected_one.yaml"] = rule(
        {"infected": True},
        {"verdict": "watch"},
        ("holds", {"infected": True}),
        ("fails", {"infected": False}),
        ("unknown", {}),
    )

    proof = proof_of(files)

    assert proof.holds
    assert proof.never_decide == ("suitability/watch_an_infected_one",)


def test_a_rule_whose_decision_is_not_asked_where_it_would_hold_is_only_listed(proof_of):
    files = sound_files()
    files["method/nothing_when_infected.yaml"] = rule(
        {"infected": True},
        {"applicator": "none"},
        ("holds", {"infected": True}),
        ("fails", {"infected": False}),
        ("unknown", {}),
    )

    proof = proof_of(files)

    assert proof.holds
    assert proof.never_asked == ("method/nothing_when_infected",)


def test_a_proof_is_the_same_every_time(proof_of):
    files = sound_files()
    del files["suitability/watch_the_ear.yaml"]

    first, second = proof_of(files), proof_of(files)

    assert first.counterexamples == second.counterexamples
    assert [one.checks for one in first.decisions] == [one.checks for one in second.decisions]


def test_the_cells_of_a_decision_are_counted_exactly(proof_of):
    proof = proof_of(sound_files())

    cells = {one.decision: one.cells for one in proof.decisions}

    # base width: limits 10 and 12 with the gaps around them; three sites, infected or not, the basis of four and the
    # diagnosis of three codes, and whether cold was borne badly; whether it is pregnant concerns a caution alone
    assert cells["suitability"] == 5 * 3 * 2 * 4 * 3 * 2
    assert cells["cautions"] == 2 * 2 * 3


def test_the_table_has_a_row_for_each_decision_and_a_column_for_each_check(proof_of):
    proof = proof_of(sound_files())

    rows = rows_of(proof)

    assert [row[0] for row in rows] == [*(one.decision for one in proof.decisions), "together"]
    assert {len(row) for row in rows} == {len(headings())}
    assert set(CHECKS) <= set(headings())


def test_a_counterexample_is_said_on_one_line_with_what_matters(proof_of):
    files = sound_files()
    del files["suitability/watch_the_ear.yaml"]

    (said,) = [line for line in found_in(proof_of(files)) if "always answers" in line]

    assert said.startswith("suitability, always answers: no rule of suitability holds. It shows where site")
    assert "base width is under 10 mm; infected: no." in said
    assert "species" not in said


# --- random folders, against every one of their cases ----------------------------------------------------

RANDOM = range(24)


@pytest.mark.parametrize("seed", RANDOM)
def test_a_gap_is_claimed_exactly_where_some_case_is_not_answered(seed, tmp_path):
    folder, answers = random_answers(seed, tmp_path)
    heard = [judged(folder, case) for case in every_case(folder)]

    for node in answers.nodes.values():
        silent = {claim.about for claim in answered(node, answers) if has_gap(claim, answers)}
        expected = {
            claim.about
            for claim in answered(node, answers)
            if any(one.holding.isdisjoint(rule.id for rule in claim.rules) for one in heard if fits(claim, one))
        }
        assert silent == expected


@pytest.mark.parametrize("seed", RANDOM)
def test_two_values_are_claimed_exactly_where_some_case_has_both(seed, tmp_path):
    folder, answers = random_answers(seed, tmp_path)
    heard = [judged(folder, case) for case in every_case(folder)]
    plan = {one.id: one.conclude for one in folder.rules["plan"]}

    found = {frozenset(one.id for one in claim.rules) for claim in apart(answers.nodes["plan"], answers)}

    together = {
        frozenset((a, b)) for one in heard for a in one.holding & plan.keys() for b in one.holding & plan.keys()
    }
    assert found == {pair for pair in together if len(pair) == 2 and differ(*(plan[name] for name in pair))}


@pytest.mark.parametrize("seed", RANDOM)
def test_a_fall_is_claimed_exactly_where_some_case_falls_or_goes_silent(seed, tmp_path):
    folder, answers = random_answers(seed, tmp_path)

    for name, ladder in answers.ladders.items():
        claimed = {claim.name for claim in steady(ladder, answers) if has_gap(claim, answers)}
        assert claimed == falling(folder, answers, name)


@pytest.mark.parametrize("seed", RANDOM)
def test_the_engine_agrees_with_what_is_said_of_a_book_of_random_rules(seed, tmp_path):
    book = random_book(seed, tmp_path)

    proof = prove(book)
    book.close()

    assert not proof.differing
    assert not any(check.unshown for one in proof.decisions for check in one.checks)


def random_book(seed: int, path: Path) -> RuleBook:
    """The first of a row of random folders that the loader takes."""
    for attempt in itertools.count():
        files = random_files(random.Random(f"{seed}, {attempt}"))
        fitting = book_files(files, folder_of(files, path / f"rules{attempt}"))
        if fitting is not None:
            with contextlib.suppress(RuleBookError):  # a plan of two values
                return RuleBook(folder_of(fitting, path / f"book{attempt}"))
    raise AssertionError


def random_answers(seed: int, path: Path) -> tuple[RuleFolder, AnswerBoxes]:
    folder = folder_of(random_files(random.Random(seed)), path / "rules")
    return folder, AnswerBoxes(folder, RuleBoxes(folder))


def has_gap(claim, answers) -> bool:
    covers = [box for box, _ in claim.covers]
    return next(gaps(answers.boxes.cells.rows, claim.region, covers), None) is not None


def fits(claim, heard) -> bool:
    """Whether a claim is about a case: its decision is asked, under the answers that it names."""
    named = [part.split() for part in claim.about.split(", ")[1:]]
    return claim.node.name in heard.asked and all(heard.answers[name] == code for name, code in named)


def differ(one, other) -> bool:
    return any(one[key] != other[key] for key in one.keys() & other.keys())


def falling(folder, answers, name) -> set[str]:
    """The inputs in which some step up in risk lets the answer of a ladder fall, over every case."""
    cases = {tuple(case.values()): judged(folder, case) for case in every_case(folder)}
    stated = [one for one in folder.vocabulary.inputs.values() if not one.derived]
    node, found = answers.nodes[name], set()
    for place, one in enumerate(stated):
        values = answers.boxes.cells.values[one.name]
        levels = itertools.combinations(levels_of(one, answers.boxes.cells), 2)
        for low, high in (step for pair in levels for step in itertools.product(*pair)):
            for key, before in cases.items():
                if answers.boxes.cells.place_of(one.name, key[place]) != low or name not in before.asked:
                    continue
                after = cases[(*key[:place], like(values[high], one, cases, place), *key[place + 1 :])]
                if name in after.asked and node.rank(after.answers[name]) < node.rank(before.answers[name]):
                    found.add(one.name)
    return found


def like(value, one, cases, place):
    """The value that the judge tries for a cell: gaps are tried at another number than boxes pick."""
    if one.type != "number":
        return value
    tried = sorted({key[place] for key in cases})
    return value if value in tried else min(tried, key=lambda number: (abs(number - value), number))
