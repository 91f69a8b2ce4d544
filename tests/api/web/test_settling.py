"""What would settle an answer, and where it is answered on the page."""

import re

from api.web.settling import settling
from decision import load_rule_book
from tests.api.web.test_routes import TAG, sent

OPEN = [{"answer": "do_not_freeze", "alone": True}]


def asked(name, changes=OPEN):
    return {"input": name, "question": f"{name}?", "could_change_to": changes}


def test_several_questions_of_a_check_list_are_one_tick_and_one_link():
    book = load_rule_book()
    questions = [
        asked("infected"),
        asked("colour"),
        asked("fixed_to_deep_tissue"),
        asked("pregnant"),
        asked("site", []),
    ]

    links = settling(questions, "lesions.1", book.vocabulary)
    book.close()

    assert [address for address, _ in links] == [
        "list-lesions-1-ruled_out-lesion_signs",
        "q-lesions-1-colour",
        "list-patient-ruled_out-general_health",
    ]
    assert links[1][1] == "colour?"


def test_every_link_leads_to_a_place_on_the_page(shipped):
    stated = {name: value for name, value in TAG.items() if not name.endswith(("ruled_out", "colour"))}
    page = sent(shipped, "/", stated)

    links = set(re.findall(r'href="#((?:q|list)-[^"]*)"', page))

    assert {"q-lesions-0-colour", "list-lesions-0-ruled_out-lesion_signs"} <= links
    assert links <= set(re.findall(r'id="([^"]*)"', page))
