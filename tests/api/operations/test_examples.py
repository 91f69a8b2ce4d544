from api.operations.examples import answer_example, example_case


def test_the_example_is_one_that_the_author_of_a_rule_wrote(toy_book):
    case = example_case(toy_book, "before")

    stated = {**case["patient"], **case["lesions"][0]}
    del stated["lesion_id"]
    written = [example.case for rules in toy_book.folder.rules.values() for rule in rules for example in rule.examples]
    assert stated in written


def test_no_example_that_holds_states_more(toy_book):
    case = example_case(toy_book, "before")

    assert {**case["patient"], **case["lesions"][0]} == {
        "species": "dog",
        "lesion_id": "first",
        "longest_diameter_mm": 9.9,
        "ulcerated": False,
    }


def test_the_example_is_answered_by_the_rule_that_it_was_written_for(toy_book):
    (lesion,) = answer_example(toy_book, "before")["lesions"]

    assert [one["rule"] for one in lesion["suitability"]["reasons"]] == ["suitability/freeze_a_small_lesion"]


def test_the_example_is_always_the_same(toy_book):
    assert answer_example(toy_book, "before") == answer_example(toy_book, "before")
