"""Two answers side by side."""

from api.web.compare import comparison


def test_an_answer_beside_itself_differs_in_nothing(toy_book, toy_case):
    answer = toy_book.recommend(toy_case)

    (found,) = comparison(answer, answer)

    assert all(line.same for line in found.lines)
    assert (found.only_first, found.only_second) == ((), ())


def test_rules_that_hold_in_one_answer_alone_are_told_apart(toy_book, toy_case):
    first = toy_book.recommend(toy_case)
    toy_case["lesions"][0].update(longest_diameter_mm=12, weeks_present=8)
    second = toy_book.recommend(toy_case)

    (found,) = comparison(first, second)

    assert [one["rule"] for one in found.only_first] == ["suitability/freeze_a_small_lesion"]
    assert [one["rule"] for one in found.only_second] == ["suitability/sample_a_lasting_lesion_first"]
    assert not next(line for line in found.lines if line.name == "verdict").same


def test_a_lesion_of_one_answer_alone_stands_beside_nothing(toy_book, toy_case):
    first = toy_book.recommend(toy_case)
    toy_case["lesions"][0]["lesion_id"] = "other"

    found = comparison(first, toy_book.recommend(toy_case))

    assert [one.lesion_id for one in found] == ["flank", "other"]
    assert {line.second for line in found[0].lines} == {"none"}
