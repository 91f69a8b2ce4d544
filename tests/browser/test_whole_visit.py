"""A whole visit, before, during and after the freeze: by mouse, by keyboard alone, and without a script."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import FIRST, LAST, LATER, MEASURES, TICKS, Person

HOLD_S, THAW_S = 22, 41
SEEN = (("cycle.fill_reached_mm", "6"), ("cycle.ice_past_cone_mm", "0.5"))
LOOKED_AT = (("cycle.ice_ball_seen", "yes"), ("cycle.ruled_out", "cycle_faults"))
HEALED = (
    ("healing.days_since_freeze", "14"),
    ("healing.sessions_so_far", "1"),
    ("healing.width_before_mm", "3"),
    ("healing.width_now_mm", "0"),
)
LOOKED_AGAIN = (("healing.wound_stage", "healed"), ("healing.ruled_out", "healing_alarms"))
PAPERS = (("Owner sheet", "After the freeze"), ("Consent points", "Points of consent"), ("Chart note", "Done: cycle 1"))


def test_a_visit_by_mouse_goes_from_the_case_over_a_timed_cycle_to_healing_and_papers(person):
    page = person.page
    person.fill_in_a_tag()
    assert person.verdict == "may be frozen"

    page.get_by_role("button", name="Time a cycle").click()
    time_a_cycle(page, lambda name: page.get_by_role("button", name=name).click())
    fill_in(person, SEEN, LOOKED_AT)
    assert person.verdict == "repeat the cycle after full thaw"
    assert_the_advice_stands_in(page)

    page.get_by_role("button", name="Back to the case").click()
    page.get_by_role("button", name="Review its healing").click()
    fill_in(person, HEALED, LOOKED_AGAIN)
    assert_healed(person)

    for name, title in PAPERS:
        assert_paper(page, title, lambda name=name: page.get_by_role("button", name=name).click())


def test_a_visit_by_keyboard_alone_goes_the_same_way(person):
    page = person.go("/")
    type_in(person, (*FIRST, *MEASURES, *LATER, *TICKS, *LAST))
    assert person.verdict == "may be frozen"

    press(page, "Time a cycle")
    page.locator("#timer").wait_for()
    walk_to_button(page, "Contact begins")
    time_a_cycle(page, lambda _: page.keyboard.press("Enter"))  # the next key of the stopwatch has the focus by itself
    type_in(person, (*SEEN, *LOOKED_AT))
    assert person.verdict == "repeat the cycle after full thaw"
    assert_the_advice_stands_in(page)

    press(page, "Back to the case")
    page.locator("#map-lesions-0-paws").wait_for()
    press(page, "Review its healing")
    page.locator("[name='healing.days_since_freeze']").wait_for()
    type_in(person, (*HEALED, *LOOKED_AGAIN))
    assert_healed(person)

    for name, title in PAPERS:
        assert_paper(page, title, lambda name=name: press(page, name))


def test_a_visit_without_a_script_gets_the_same_answers(without_script):
    page = without_script.go("/")
    fill_in_plainly(page, FIRST)
    fill_in_plainly(page, (*MEASURES, *LATER, *TICKS))
    fill_in_plainly(page, LAST[:1])
    fill_in_plainly(page, LAST[1:])  # asked once the lesion may be frozen
    assert without_script.verdict == "may be frozen"

    page.get_by_role("button", name="Time a cycle").click()
    expect(page.locator("#timer")).to_be_hidden()
    timed = (("cycle.contact_seconds", f"{HOLD_S}"), ("cycle.observed_thaw_s", f"{THAW_S}"))
    fill_in_plainly(page, (*timed, LOOKED_AT[1]))
    fill_in_plainly(page, (*SEEN, LOOKED_AT[0]))
    assert without_script.verdict == "repeat the cycle after full thaw"
    assert_the_advice_stands_in(page)

    page.get_by_role("button", name="Back to the case").click()
    assert without_script.verdict == "may be frozen"
    page.get_by_role("button", name="Review its healing").click()
    fill_in_plainly(page, (*HEALED, *LOOKED_AGAIN))
    assert_healed(without_script)

    for name, title in PAPERS:
        assert_paper(page, title, lambda name=name: page.get_by_role("button", name=name).click())


def test_two_cycles_are_kept_and_stand_in_the_note_for_the_chart(person):
    page = person.page
    person.fill_in_a_tag()
    page.get_by_role("button", name="Time a cycle").click()
    time_a_cycle(page, lambda name: page.get_by_role("button", name=name).click())
    fill_in(person, SEEN, LOOKED_AT)
    page.get_by_role("button", name="Keep this cycle, time the next").click()
    page.locator("#card-kept").wait_for()
    assert page.input_value("[name='cycle.cycle_number']") == "2"
    assert_the_advice_stands_in(page)

    person.write("cycle.contact_seconds", "19")
    with page.context.expect_page() as opened:
        page.get_by_role("button", name="Chart note").click()

    note = opened.value.inner_text("main")
    assert [one in note for one in ("Done: cycle 1", "6 mm", "Done: cycle 2", "19 s")] == [True] * 4


def time_a_cycle(page: Page, press_key) -> None:
    page.clock.install()
    press_key("Contact begins")
    page.clock.fast_forward(HOLD_S * 1000)
    press_key("Lifted")
    page.clock.fast_forward(THAW_S * 1000)
    press_key("White gone")
    page.clock.resume()


def fill_in(person: Person, written, chosen) -> None:
    for name, value in written:
        person.write(name, value)
    for name, value in chosen:
        person.choose(name, value)


def fill_in_plainly(page: Page, answers) -> None:
    """Fill in a form that does not follow, and send it."""
    for name, value in answers:
        listed = page.locator(f'select[name="{name}"]')
        chosen = page.locator(f'input[name="{name}"][value="{value}"]:is([type=radio], [type=checkbox])')
        if listed.count():
            listed.select_option(value)
        elif chosen.count():
            chosen.check()
        else:
            page.fill(f'input[name="{name}"]', value)
    page.get_by_role("button", name="Show the answer").click()


def assert_the_advice_stands_in(page: Page) -> None:
    """The method and size that the case advised were filled in beforehand."""
    assert page.locator('[name="cycle.applicator_used"][value="cone"]').is_checked()
    assert page.input_value('[name="cycle.contact_diameter_mm"]') == "5"


def assert_healed(person: Person) -> None:
    assert person.verdict == "as expected"
    assert person.page.locator(".calendar tbody tr").count() > 5


def assert_paper(page: Page, title: str, ask) -> None:
    """A paper opens beside the page; that of the chart holds what was timed."""
    with page.context.expect_page() as opened:
        ask()
    paper = opened.value
    paper.wait_for_load_state()
    said = paper.inner_text("main")
    assert title in said
    if title == PAPERS[-1][1]:
        assert f"{HOLD_S}" in said
    paper.close()


def type_in(person: Person, answers) -> None:
    """Walk through the form with the tabulator and answer what is to be stated, as it comes."""
    page, stated = person.page, dict(answers)
    for _ in range(500):
        page.keyboard.press("Tab")
        name, kind = page.evaluate("[document.activeElement.name || '', document.activeElement.type || '']")
        value = stated.get(name)
        if value is None or kind == "hidden":
            continue
        with person.following():
            if kind == "checkbox":
                page.keyboard.press("Space")
            elif kind == "radio":
                walk_along(page, value)
            elif kind == "select-one":
                page.keyboard.type(
                    page.evaluate(f"document.activeElement.querySelector('[value={value}]').textContent")
                )
            else:
                page.keyboard.type(value)
        assert page.evaluate("document.activeElement.name") == name  # the answer that came took nothing away
        del stated[name]
        if not stated:
            return
    pytest.fail(f"never reached: {sorted(stated)}")


def walk_along(page: Page, value: str) -> None:
    """Move along a row of answers with the arrow keys, as radio buttons are used."""
    for _ in range(30):
        page.keyboard.press("ArrowRight")
        if page.evaluate("document.activeElement.value") == value:
            return
    pytest.fail(f"no answer {value}")


def walk_to_button(page: Page, name: str) -> None:
    for _ in range(500):
        page.keyboard.press("Tab")
        if (
            page.evaluate("document.activeElement.localName + ' ' + document.activeElement.innerText")
            == f"button {name}"
        ):
            return
    pytest.fail(f"no button {name}")


def press(page: Page, name: str) -> None:
    walk_to_button(page, name)
    page.keyboard.press("Enter")
