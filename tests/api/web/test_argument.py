"""The rules of an answer, put in order as an argument."""

from api.web.argument import by_decision


def test_rules_stand_once_below_the_question_of_their_decision_the_verdict_first(toy_book):
    told = [{"rule": "suitability/b"}, {"rule": "cautions/a"}, {"rule": "suitability/b"}, {"rule": "suitability/c"}]

    chapters = by_decision(told, toy_book)

    questions = {node.name: node.question for node in toy_book.folder.decisions}
    assert [question for question, _ in chapters] == [questions["suitability"], questions["cautions"]]
    assert [[one["rule"][-1] for one in rules] for _, rules in chapters] == [["b", "c"], ["a"]]


def test_a_decision_of_another_rule_book_stands_last_under_its_own_name(toy_book):
    assert by_decision([{"rule": "dosing/none"}], toy_book) == [("dosing", [{"rule": "dosing/none"}])]
