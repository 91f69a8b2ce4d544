"""What the pages do while a visit goes on: the stopwatch, the keyboard, the drawing, what is remembered."""

from __future__ import annotations

import re


def test_the_stopwatch_tells_the_time_that_passed_while_the_page_slept(person):
    person.page.clock.install()
    page = person.go("/cycle")
    page.get_by_role("button", name="Contact begins").click()

    page.clock.fast_forward(30_000)  # as when a lid is shut: what was due runs once, afterwards

    assert 30 <= float(page.locator(".big").inner_text()) < 31


def test_the_page_is_not_left_unasked_while_the_stopwatch_runs(person):
    page = person.go("/cycle")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    handbook = page.get_by_role("link", name="Handbook")

    page.get_by_role("button", name="Contact begins").click()
    handbook.click()
    assert asked == ["beforeunload"]
    assert page.get_by_role("button", name="Lifted").is_enabled()

    page.get_by_role("button", name="Start over").click()
    handbook.click()
    page.wait_for_url("**/handbook")
    assert asked == ["beforeunload"]


def test_a_unit_loses_its_plural_beside_one(person):
    page = person.go("/cycle")
    unit = page.locator("#q-cycle-cycle_number .unit")

    person.write("cycle.cycle_number", "1")
    assert unit.inner_text() == "cycle"

    person.write("cycle.cycle_number", "2")
    assert unit.inner_text() == "cycles"


def test_an_answer_that_moves_the_question_in_hand_leaves_the_keyboard_in_it(person):
    page = person.go("/")
    page.evaluate("(one => one.parentElement.append(one))(document.getElementById('q-patient-species'))")
    page.locator('input[name="patient.species"][value="dog"]').focus()

    with person.following():
        page.keyboard.press("ArrowRight")

    assert page.evaluate("document.querySelector('#patient-questions > *').id") == "q-patient-species"
    assert page.evaluate("[document.activeElement.name, document.activeElement.value]") == ["patient.species", "cat"]


def test_an_answer_to_what_was_typed_before_does_not_pass_for_the_last_one(person):
    page = person.go("/")
    held = []
    page.route(page.url, lambda route: held.append(route))
    page.clock.install()
    width = page.locator('[name="lesions.0.base_width_mm"]')
    width.fill("900")
    with page.expect_request(page.url):
        page.clock.run_for(400)  # what was typed is sent after a pause
    width.fill("9")

    held.pop().continue_()
    page.locator(".faults").wait_for()

    assert page.get_attribute("#answer", "aria-busy") == "true"
    page.unroute(page.url)
    page.clock.run_for(400)
    page.locator("#answer:not([aria-busy])").wait_for(state="attached")
    assert page.locator(".faults").count() == 0


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
