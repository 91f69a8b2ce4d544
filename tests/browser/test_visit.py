"""A whole visit, before, during and after the freeze: by mouse, by keyboard alone, and without a script."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from tests.browser.conftest import FIRST, LAST, LATER, MEASURES, TICKS

CYCLE = (("cycle.contact_diameter_mm", "5"), ("cycle.cycle_number", "1"))
SEEN = (("cycle.fill_reached_mm", "6"), ("cycle.ice_past_cone_mm", "0.5"))


def test_a_visit_by_mouse_goes_from_the_case_over_a_timed_cycle_to_healing(person):
    page = person.page
    person.fill_in_a_tag()
    assert person.verdict == "may be frozen"

    page.get_by_role("button", name="Time a cycle").click()
    page.clock.install()
    page.get_by_role("button", name="Contact begins").click()
    page.clock.fast_forward(22_000)
    page.get_by_role("button", name="Lifted").click()
    page.clock.fast_forward(41_000)
    page.get_by_role("button", name="White gone").click()
    page.clock.resume()
    person.choose("cycle.applicator_used", "cone")
    for name, value in CYCLE:
        person.write(name, value)
    person.choose("cycle.ice_ball_seen", "yes")
    for name, value in SEEN:
        person.write(name, value)
    person.choose("cycle.ruled_out", "cycle_faults")
    assert person.verdict == "repeat the cycle after full thaw"

    page.get_by_role("button", name="Back to the case").click()
    page.get_by_role("button", name="Review its healing").click()
    for name, value in (
        ("days_since_freeze", "14"),
        ("sessions_so_far", "1"),
        ("width_before_mm", "3"),
        ("width_now_mm", "0"),
    ):
        person.write(f"healing.{name}", value)
    person.choose("healing.wound_stage", "healed")
    person.choose("healing.ruled_out", "healing_alarms")
    assert person.verdict == "as expected"


def test_the_stopwatch_tells_the_time_that_passed_while_the_page_slept(person):
    person.page.clock.install()
    page = person.go("/cycle")
    page.get_by_role("button", name="Contact begins").click()

    page.clock.fast_forward(30_000)  # as when a lid is shut: what was due runs once, afterwards

    assert 30 <= float(page.locator(".big").inner_text()) < 31


def test_a_case_is_stated_by_keyboard_alone(person):
    page = person.go("/")
    stated = dict((*FIRST, *MEASURES, *LATER, *TICKS, *LAST))
    for _ in range(400):
        page.keyboard.press("Tab")
        name = page.evaluate("document.activeElement.name || ''")
        value = stated.get(name)
        if value is None:
            continue
        kind = page.evaluate("document.activeElement.type")
        with person.following():
            if kind == "checkbox":
                page.keyboard.press("Space")
            elif kind == "radio":
                walk_to(page, value)
            elif kind == "select-one":
                page.keyboard.type(
                    page.evaluate(f"document.activeElement.querySelector('[value={value}]').textContent")
                )
            else:
                page.keyboard.type(value)
        assert page.evaluate("document.activeElement.name") == name  # the answer that came took nothing away
        del stated[name]
        if not stated:
            break

    assert stated == {}
    assert person.verdict == "may be frozen"


def walk_to(page, value):
    """Move along a row of answers with the arrow keys, as radio buttons are used."""
    for _ in range(30):
        page.keyboard.press("ArrowRight")
        if page.evaluate("document.activeElement.value") == value:
            return
    raise AssertionError(value)


def test_an_answer_that_moves_the_question_in_hand_leaves_the_keyboard_in_it(person):
    page = person.go("/")
    page.evaluate("(one => one.parentElement.append(one))(document.getElementById('q-patient-species'))")
    page.locator('input[name="patient.species"][value="dog"]').focus()

    with person.following():
        page.keyboard.press("ArrowRight")

    assert page.evaluate("document.querySelector('#patient-questions > *').id") == "q-patient-species"
    assert page.evaluate("[document.activeElement.name, document.activeElement.value]") == ["patient.species", "cat"]


def test_an_answer_that_is_written_anew_leaves_the_keyboard_on_the_reason_in_hand(person):
    person.fill_in_a_tag()
    reason = person.page.locator(".reason summary").first
    words = reason.inner_text()
    reason.focus()

    with person.following():
        person.page.evaluate(
            """(field => { field.value = '10'; field.dispatchEvent(new Event('change', { bubbles: true })); })"""
            """(document.querySelector('[name="patient.age_years"]'))"""
        )

    assert person.page.evaluate("document.activeElement.innerText") == words


def test_a_lesion_that_is_added_gets_the_keyboard(person):
    page = person.go("/")
    page.get_by_role("button", name="Add another lesion").focus()

    with person.following():
        page.keyboard.press("Enter")

    assert page.evaluate("document.activeElement.name") == "lesions.1.lesion_id"


def test_what_has_the_focus_can_be_seen(person):
    page = person.go("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    for _ in range(12):
        page.keyboard.press("Tab")
        outlined = page.evaluate(
            "(e => [e, e.nextElementSibling].some(x => x && getComputedStyle(x).outlineStyle !== 'none'))"
            "(document.activeElement)"
        )
        assert outlined


def test_a_visit_without_a_script_gets_the_same_answers(without_script):
    page = without_script.go("/")
    choose_plainly(page, FIRST)
    page.get_by_role("button", name="Show the answer").click()
    for name, value in MEASURES:
        page.fill(f'input[name="{name}"]', value)
    choose_plainly(page, (*LATER, *TICKS))
    page.get_by_role("button", name="Show the answer").click()
    choose_plainly(page, LAST)
    page.get_by_role("button", name="Show the answer").click()
    assert without_script.verdict == "may be frozen"

    page.get_by_role("button", name="Time a cycle").click()
    expect(page.locator("#timer")).to_be_hidden()
    choose_plainly(page, (("cycle.applicator_used", "cone"), ("cycle.ruled_out", "cycle_faults")))
    for name, value in (*CYCLE, ("cycle.contact_seconds", "22"), ("cycle.observed_thaw_s", "41")):
        page.fill(f'input[name="{name}"]', value)
    page.get_by_role("button", name="Show the answer").click()
    choose_plainly(page, (("cycle.ice_ball_seen", "yes"),))
    for name, value in SEEN:
        page.fill(f'input[name="{name}"]', value)
    page.get_by_role("button", name="Show the answer").click()
    assert without_script.verdict == "repeat the cycle after full thaw"

    page.get_by_role("button", name="Back to the case").click()
    assert without_script.verdict == "may be frozen"


def choose_plainly(page, answers):
    for name, value in answers:
        listed = page.locator(f'select[name="{name}"]')
        radio = page.locator(f'input[name="{name}"][value="{value}"]')
        listed.select_option(value) if listed.count() else radio.check()


def test_a_tap_on_the_drawing_is_a_choice_in_the_list(person):
    page = person.go("/")
    person.choose("patient.species", "horse")

    with person.following():
        page.locator('.bodymap [data-site="teat"] rect').click()

    assert page.input_value('select[name="lesions.0.site"]') == "teat"
    assert page.locator(".mapped").inner_text() == "teat"


def test_what_is_at_hand_is_remembered_in_this_browser_alone_until_it_is_forgotten(person):
    page = person.go("/")
    person.write("equipment.cone_bores_mm", "5 8 12")

    page.reload()
    assert page.input_value('input[name="equipment.cone_bores_mm"]') == "5 8 12"
    assert page.context.cookies() == []

    with person.following():
        page.get_by_role("button", name="Forget it").click()
    page.reload()
    assert page.input_value('input[name="equipment.cone_bores_mm"]') == ""


def test_another_lesion_can_be_added_and_taken_out(person):
    page = person.page
    person.fill_in_a_tag()

    with person.following():
        page.get_by_role("button", name="Add one, same as the last").click()
    page.locator(".lesion").nth(1).wait_for()
    assert page.locator(".verdict").count() == 2
    assert not page.locator('input[name="lesions.1.ruled_out"]').is_checked()

    with person.following():
        page.get_by_role("button", name="Take this lesion out").last.click()
    page.locator(".lesion").nth(1).wait_for(state="detached")
    assert page.locator(".verdict").count() == 1


def test_a_reason_that_was_unfolded_stays_open_when_the_answer_changes(person):
    page = person.page
    person.fill_in_a_tag()
    reason = page.locator(".reason").first
    reason.locator("summary").click()

    person.write("patient.age_years", "10")

    assert reason.get_attribute("open") is not None
    assert re.search("Evidence:", reason.inner_text())
