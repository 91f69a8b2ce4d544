"""How faults read, and in which order they come."""

from decision.errors import CaseError, CaseFault, Fault, RuleBookError


def test_a_fault_reads_as_file_line_path_and_message():
    assert str(Fault("rules/a/b.yaml", 11, "when.x", "wrong.")) == "rules/a/b.yaml:11 when.x: wrong."


def test_a_fault_of_a_whole_file_has_no_path():
    assert str(Fault("rules/a/b.yaml", 11, "", "wrong.")) == "rules/a/b.yaml:11: wrong."


def test_a_fault_without_a_line_names_the_file_alone():
    assert str(Fault("rules/a/b.yaml", 0, "when.x", "wrong.")) == "rules/a/b.yaml when.x: wrong."


def test_faults_of_a_rule_book_come_by_file_and_line():
    found = RuleBookError([Fault("b", 1, "", "x"), Fault("a", 10, "", "x"), Fault("a", 9, "", "x")])

    assert [(fault.file, fault.line) for fault in found.faults] == [("a", 9), ("a", 10), ("b", 1)]


def test_faults_of_a_case_come_by_their_pointers():
    found = CaseError([CaseFault("#/b", "x", "x"), CaseFault("#/a", "x", "x")])

    assert [fault.pointer for fault in found.faults] == ["#/a", "#/b"]
