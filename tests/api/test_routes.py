def test_a_case_is_answered_with_its_reasons(ask, toy_case):
    answer = ask.recommend(toy_case)

    suitability = answer.json()["lesions"][0]["suitability"]
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert suitability["verdict"] == "suitable"
    assert [one["rule"] for one in suitability["reasons"]] == ["suitability/freeze_a_small_lesion"]


def test_the_same_case_gets_the_same_bytes(ask, toy_case):
    assert ask.recommend(toy_case).content == ask.recommend(toy_case).content


def test_the_order_of_keys_changes_nothing(ask, toy_case):
    turned = dict(reversed(toy_case.items()))

    assert ask.recommend(turned).content == ask.recommend(toy_case).content


def test_a_full_trace_tells_the_rules_that_did_not_apply(ask, toy_case):
    plain = ask.recommend(toy_case).json()
    traced = ask("POST", "/v1/recommendations?trace=full", json=toy_case).json()

    assert "did_not_apply" not in plain["lesions"][0]
    assert "suitability/sample_a_lasting_lesion_first" in [one["rule"] for one in traced["lesions"][0]["did_not_apply"]]
    assert traced["conclusion_digest"] == plain["conclusion_digest"]


def test_a_full_trace_tells_what_an_open_rule_needs(ask, toy_case):
    del toy_case["patient"]["species"]

    lesion = ask("POST", "/v1/recommendations?trace=full", json=toy_case).json()["lesions"][0]

    needs = {one["rule"]: one["needs"] for one in lesion["still_open"]}
    assert needs["suitability/freeze_a_small_lesion"] == ["species"]
    assert lesion["outranked"] == []


def test_twenty_lesions_are_answered_in_their_order(ask, toy_case):
    names = [f"n{i}" for i in range(20)]
    toy_case["lesions"] = [{"lesion_id": name} for name in names]

    assert [one["lesion_id"] for one in ask.recommend(toy_case).json()["lesions"]] == names


def test_the_rule_book_tells_its_version_digest_and_decisions_in_order(ask, toy_book):
    page = ask("GET", "/v1/rule-book").json()

    assert (page["version"], page["digest"]) == (toy_book.version, toy_book.digest)
    assert [(one["decision"], one["rules"]) for one in page["decisions"]] == [("cautions", 1), ("suitability", 2)]
    assert list(page["decisions"][1]["answers"]) == ["suitable", "sample_first", "do_not_freeze"]


def test_rules_are_listed_and_each_listed_rule_can_be_read(ask):
    rules = ask("GET", "/v1/rules").json()["rules"]

    assert len(rules) == 3
    for line in rules:
        page = ask("GET", f"/v1/rules/{line['decision']}/{line['name']}")

        assert page.status_code == 200
        assert page.json()["rule"] == line["rule"]


def test_rules_of_one_decision_are_listed_alone(ask):
    rules = ask("GET", "/v1/rules?decision=cautions").json()["rules"]

    assert [one["rule"] for one in rules] == ["cautions/mind_the_cold"]


def test_a_decision_or_a_rule_that_is_not_there_is_a_404(ask):
    for path in ("/v1/rules?decision=weather", "/v1/rules/cautions/nothing", "/v1/rules/weather/mind_the_cold"):
        assert ask("GET", path).status_code == 404


def test_a_rule_is_shown_as_its_author_wrote_it_and_in_words(ask):
    page = ask("GET", "/v1/rules/suitability/sample_a_lasting_lesion_first").json()

    assert page["when"][0] == {
        "input": "longest_diameter_mm",
        "written": ">= 10",
        "in_words": "longest diameter is at least 10 mm",
    }
    assert page["unless"] == [{"input": "ulcerated", "written": True, "in_words": "ulcerated: yes"}]
    assert page["conclude"] == {"verdict": "sample_first"}
    assert len(page["examples"]) == 5


def test_every_citation_of_a_rule_is_a_listed_source(ask):
    citations = ask("GET", "/v1/rules/suitability/sample_a_lasting_lesion_first").json()["evidence"]["citations"]
    sources = ask("GET", "/v1/sources").json()["sources"]

    assert citations == ["nobody_2020"]
    assert sources["nobody_2020"]["year"] == 2020


def test_the_vocabulary_says_what_may_be_stated(ask):
    page = ask("GET", "/v1/vocabulary").json()

    inputs = {one["input"]: one for one in page["inputs"]}
    assert inputs["longest_diameter_mm"]["range"] == [0.5, 300]
    assert inputs["longest_diameter_mm"]["unit"] == "mm"
    assert inputs["species"]["allowed"] == {"dog": "dog", "cat": "cat", "horse": "horse"}
    assert inputs["reacts_to_cold"]["presumed"] is False
    assert page["groups"][0]["inputs"] == ["ulcerated"]


def test_the_version_is_the_one_that_answers(ask, toy_case):
    version, answer = ask("GET", "/version").json(), ask.recommend(toy_case).json()

    for name in ("rule_book", "engine_version", "answer_contract"):
        assert version[name] == answer[name]


def test_a_path_with_a_slash_too_many_is_not_redirected(ask):
    assert ask("GET", "/v1/rules/").status_code == 404
