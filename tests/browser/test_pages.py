"""What holds for every page: accessible in both lights, large enough for a gloved hand, and small to load."""

from __future__ import annotations

import os
import re
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Person

PAGES = (
    "/",
    "/cycle",
    "/healing",
    "/handbook",
    "/handbook?q=cone",
    "/handbook/suitability/classic_to_five",
    "/review",
    "/docs",
)
PROBLEMS = (("/nowhere", 404), ("/handbook/plan/none", 404), ("/record", 405))
PAPERS = ("Owner sheet", "Consent points", "Chart note")
SMALLEST = 44
MOST_BYTES = 100_000


@pytest.fixture(params=["light", "dark"])
def in_light(request, browser, service):
    """Somebody whose device is set to one of the two lights."""
    context = browser.new_context(color_scheme=request.param, viewport={"width": 1280, "height": 900})
    yield Person(context, service)
    context.close()


def violations(page):
    """What axe-core finds against WCAG 2.2 AA and its own best practice."""
    page.evaluate(Path(os.environ["THAWLINE_AXE"]).read_text(encoding="utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [(one["id"], [node["html"][:160] for node in one["nodes"]][:3]) for one in found["violations"]]


@pytest.mark.parametrize("path", PAGES)
def test_a_page_breaks_no_rule_of_accessibility(in_light, path):
    assert violations(in_light.go(path)) == []
    assert in_light.complaints == []


@pytest.mark.parametrize(("path", "status"), PROBLEMS)
def test_a_problem_is_a_page_that_breaks_no_rule_of_accessibility(in_light, path, status):
    page = in_light.go(path)

    assert page.locator(".problem h1").count() == 1
    assert violations(page) == []
    assert [one for one in in_light.complaints if f"{status}" not in one] == []  # the browser itself notes a status


def test_a_refused_form_is_a_page_that_breaks_no_rule_of_accessibility(in_light):
    in_light.fill_in_a_tag()
    field = in_light.page.locator('input[name="lesions.0.height_mm"]')
    field.evaluate("one => { one.value = 'high'; }")  # as when a paper is asked for before the page has followed
    with in_light.page.context.expect_page() as opened:
        in_light.page.get_by_role("button", name="Chart note").click()

    opened.value.locator(".problem").wait_for()
    assert "Write a number" in opened.value.inner_text("main")
    assert violations(opened.value) == []


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_breaks_no_rule_of_accessibility(person, name):
    person.fill_in_a_tag()
    with person.page.context.expect_page() as opened:
        person.page.get_by_role("button", name=name).click()

    opened.value.locator("h1").wait_for()
    assert violations(opened.value) == []


def test_a_reviewed_healing_breaks_no_rule_of_accessibility(in_light):
    in_light.fill_in_a_tag()
    in_light.page.get_by_role("button", name="Review its healing").click()
    for name, value in (("days_since_freeze", "14"), ("width_before_mm", "3"), ("width_now_mm", "0")):
        in_light.write(f"healing.{name}", value)

    in_light.page.locator(".calendar").wait_for()
    assert violations(in_light.page) == []


def test_an_answer_that_fails_gives_way_to_what_is_wrong(in_light):
    in_light.fill_in_a_tag()
    page = in_light.page
    refused = page.request.get(page.url + "nowhere", headers={"Accept": "text/html"})
    page.route(page.url, lambda route: route.fulfill(status=500, content_type="text/html", body=refused.text()))

    in_light.write("patient.age_years", "10")

    page.locator("#answer .faults").wait_for()
    assert "There is nothing at this address" in page.inner_text("#answer")
    assert page.locator(".verdict").count() == 0
    assert violations(page) == []


def test_an_answered_case_with_everything_unfolded_breaks_no_rule_of_accessibility(in_light):
    in_light.fill_in_a_tag()
    in_light.page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")

    assert violations(in_light.page) == []


def test_a_reviewed_cycle_and_a_compared_answer_break_no_rule_of_accessibility(in_light, tmp_path):
    page = in_light.page
    in_light.fill_in_a_tag()
    with page.expect_download() as kept:
        page.get_by_role("button", name="Save the answer as a file").click()
    kept.value.save_as(tmp_path / "answer.json")
    page.get_by_role("button", name="Time a cycle").click()
    page.locator("#timer").wait_for()
    assert violations(page) == []
    in_light.write("cycle.contact_seconds", "22")
    page.get_by_role("button", name="Keep this cycle, time the next").click()
    page.locator("#card-kept").wait_for()
    assert violations(page) == []

    in_light.go("/review")
    for name in ("first", "second"):
        page.set_input_files(f"#{name}-file", tmp_path / "answer.json")
        expect(page.locator(f"#{name}")).to_have_value(re.compile("conclusion_digest"))
    page.get_by_role("button", name="Show the argument").click()
    page.locator(".compare").wait_for()
    assert violations(page) == []


def test_a_faulty_field_is_told_without_breaking_a_rule_of_accessibility(in_light):
    in_light.go("/")
    in_light.write("lesions.0.base_width_mm", "900")

    in_light.page.locator(".faults").wait_for()
    assert violations(in_light.page) == []


def test_all_that_is_tapped_is_large_enough_for_a_gloved_hand(browser, service):
    context = browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True)
    somebody = Person(context, service)
    somebody.fill_in_a_tag()
    small = somebody.page.evaluate(
        f"""[...document.querySelectorAll(
          '.chip, .tick, button, select, summary, nav a, input[type=text], .settle a, .callout rect')]
        .filter((one) => one.checkVisibility() && !one.matches('.first'))
        .map((one) => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect()])
        .filter(([, box]) => box.height < {SMALLEST} || box.width < {SMALLEST})
        .map(([words, box]) => `${{words}} ${{box.width}}x${{box.height}}`)"""
    )
    wider = somebody.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    context.close()

    assert small == []
    assert wider <= 0


@pytest.mark.parametrize("species", ["dog", "horse", "rabbit"])
@pytest.mark.parametrize("wide", [992, 1360])
def test_every_place_on_a_drawing_is_large_enough_for_a_gloved_hand(browser, service, species, wide):
    """Each place can be tapped somewhere in a box or an area, its margin counted, of 44 px either way."""
    context = browser.new_context(viewport={"width": wide, "height": 768}, has_touch=True)
    somebody = Person(context, service)
    somebody.go("/")
    somebody.choose("patient.species", species)
    somebody.page.locator(".bodymap").wait_for()
    sizes = somebody.page.evaluate(
        """() => {
          const most = {};
          for (const one of document.querySelectorAll('.bodymap [data-site] :is(rect, .reach)')) {
            const box = one.getBoundingClientRect();
            const drawn = one.matches('.reach') ? parseFloat(getComputedStyle(one).strokeWidth) : 0;
            const margin = drawn * one.getScreenCTM().a;
            const site = one.closest('[data-site]').dataset.site, least = Math.min(box.width, box.height) + margin;
            most[site] = Math.max(most[site] || 0, least);
          }
          return most;
        }"""
    )
    context.close()

    assert len(sizes) > 15
    assert {site: size for site, size in sizes.items() if size < SMALLEST} == {}


@pytest.mark.parametrize("path", [*PAGES, *(path for path, _ in PROBLEMS)])
def test_a_page_loads_little_and_from_this_service_alone(browser, service, path):
    context = browser.new_context()
    page = context.new_page()
    sizes = []
    hosts = set()

    def note(request):
        hosts.add(urlsplit(request.url).netloc)
        sizes.append(request.sizes()["responseBodySize"])

    page.on("requestfinished", note)
    page.goto(service + path, wait_until="networkidle")
    context.close()

    assert 0 < sum(sizes) < MOST_BYTES
    assert hosts == {urlsplit(service).netloc}


def test_the_policy_of_a_page_lets_no_foreign_script_run(person):
    page = person.go("/")
    policy = page.evaluate("fetch(location.href).then((answer) => answer.headers.get('content-security-policy'))")

    assert policy.startswith("default-src 'self'")
    assert "unsafe" not in policy


def test_a_printed_case_shows_the_answer_and_no_buttons(person):
    person.fill_in_a_tag()
    person.page.emulate_media(media="print")

    assert person.page.locator(".verdict").first.is_visible()
    assert not person.page.get_by_role("button", name="Time a cycle").is_visible()
    assert not person.page.locator("nav").is_visible()
    assert person.page.pdf(format="A4")[:5] == b"%PDF-"
