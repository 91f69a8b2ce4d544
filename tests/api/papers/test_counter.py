"""Papers over HTTP."""

import pytest

from tests.api.papers.conftest import FORBIDDEN, a_case, a_cycle

SECRET = "Rosalinde"


def write(ask, kind="owner-sheet", headers=None, **body):
    return ask("POST", f"/v1/papers/{kind}", json={"case": a_case(), **body}, headers=headers or {})


@pytest.mark.parametrize(
    ("form", "media", "begins", "name"),
    [
        ("pdf", "application/pdf", "%PDF-", "owner-sheet.pdf"),
        ("html", "text/html; charset=utf-8", "<!doctype html>", "owner-sheet.html"),
        ("markdown", "text/markdown; charset=utf-8", "# After the freeze", "owner-sheet.md"),
    ],
)
def test_a_paper_is_sent_in_the_format_that_is_asked_for(ask_visit, form, media, begins, name):
    answer = write(ask_visit, format=form)

    assert answer.status_code == 200
    assert answer.headers["content-type"] == media
    assert answer.content.startswith(begins.encode())
    assert answer.headers["content-disposition"] == f'inline; filename="{name}"'
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    ("accept", "media"),
    [("text/html", "text/html"), ("text/markdown, */*;q=0.1", "text/markdown"), ("*/*", "application/pdf")],
)
def test_the_accept_header_decides_where_no_format_is_stated(ask_visit, accept, media):
    assert write(ask_visit, headers={"Accept": accept}).headers["content-type"].split(";")[0] == media


def test_a_page_may_use_its_own_style_sheet_and_nothing_else(ask_visit):
    answer = write(ask_visit, format="html")

    (policy,) = answer.headers.get_list("content-security-policy")
    assert policy.startswith("default-src 'none'; frame-ancestors 'none'; style-src 'sha256-")


@pytest.mark.parametrize("kind", ["owner-sheet", "consent", "chart-note"])
def test_every_paper_says_which_rule_book_it_rests_on(ask_visit, visit_book, kind):
    text = write(ask_visit, kind, format="markdown").text

    assert visit_book.version in text
    assert visit_book.digest in text


def test_what_was_done_is_sent_along(ask_visit):
    text = write(ask_visit, "chart-note", cycles=[a_cycle()], chart={"side": "left"}, format="markdown").text

    assert "- Side: **left**" in text
    assert "- Review: **repeat it**" in text


def test_a_verdict_that_forbids_freezing_never_gives_the_care_of_a_freeze(ask_visit):
    text = write(ask_visit, case=FORBIDDEN, format="markdown").text

    assert text.startswith("# What happens instead of freezing")
    assert "crust" not in text.lower()


def test_a_paper_that_is_not_there_is_a_404(ask_visit):
    assert write(ask_visit, "certificate").status_code == 404


@pytest.mark.parametrize(("lesion_id", "fit"), [(None, 2), ("tail", 0)])
def test_a_lesion_that_is_not_one_is_a_404_at_its_place(ask_visit, lesion_id, fit):
    case = a_case()
    case["lesions"].append({"lesion_id": "ear"})
    body = {"case": case} | ({"lesion_id": lesion_id} if lesion_id else {})

    answer = write(ask_visit, **body)

    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-lesion")
    assert answer.json()["errors"][0]["pointer"] == "#/lesion_id"
    assert answer.json()["detail"] == f"say by lesion_id which lesion the paper is about; {fit} of 2 fit."


def test_one_of_several_lesions_is_taken_by_its_name(ask_visit):
    case = a_case()
    case["lesions"].append({**a_case(site="pinna")["lesions"][0], "lesion_id": "ear"})

    answers = [write(ask_visit, case=case, lesion_id=name, format="markdown").text for name in ("flank", "ear")]

    assert [one.splitlines()[0] for one in answers] == ["# After the freeze", "# What happens instead of freezing"]


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({"owner": SECRET}, "#/owner", "unknown_field"),
        ({"case": {"patient": {}}}, "#/case/lesions", "required"),
        ({"case": a_case(site=SECRET)}, "#/case/lesions/0/site", "not_allowed"),
        ({"case": {**a_case(), "lesions": a_case()["lesions"] * 2}}, "#/case/lesions/1/lesion_id", "repeated"),
        ({"cycles": [{}, {"contact_seconds": 301}]}, "#/cycles/1/contact_seconds", "out_of_range"),
        ({"cycles": [{}] * 11}, "#/cycles", "too_many"),
        ({"chart": {"side": SECRET}}, "#/chart/side", "not_allowed"),
        ({"chart": {"canister_lot": f"{SECRET} M."}}, "#/chart/canister_lot", "wrong_format"),
        ({"chart": {"canister_expires": "2028-13"}}, "#/chart/canister_expires", "wrong_format"),
        ({"format": "docx"}, "#/format", "not_allowed"),
        ({"lesion_id": None}, "#/lesion_id", "wrong_type"),
    ],
)
def test_a_request_that_is_none_is_a_422_at_the_place_of_the_fault(ask_visit, body, pointer, code):
    answer = write(ask_visit, **body)

    assert answer.status_code == 422
    assert (pointer, code) in [(one["pointer"], one["code"]) for one in answer.json()["errors"]]
    assert SECRET not in answer.text


def test_another_version_of_the_rule_book_is_a_404(ask_visit):
    answer = write(ask_visit, case={**a_case(), "rule_book_version": "2020.01.0"})

    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-rule-book-version")
    assert [one["pointer"] for one in answer.json()["errors"]] == ["#/case/rule_book_version"]


def test_two_lesions_of_one_name_are_told_at_their_place_in_the_request(ask_visit):
    case = a_case()
    case["lesions"] = case["lesions"] * 2

    answer = write(ask_visit, case=case)

    assert answer.status_code == 422
    assert [one["pointer"] for one in answer.json()["errors"]] == ["#/case/lesions/1/lesion_id"]


def test_a_rule_book_without_reviews_writes_papers_too(ask, toy_case):
    answer = ask("POST", "/v1/papers/chart-note", json={"case": toy_case, "cycles": [{}], "format": "markdown"})

    assert answer.status_code == 200
    assert answer.text.startswith("# Note for the chart")
