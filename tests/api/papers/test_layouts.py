"""Markdown, HTML and PDF of one paper: the same words, nothing run, nothing loaded, one page where it must be one."""

import base64
import hashlib
import io
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from pypdf import PdfReader

from api.papers.desk import PAPERS, laid_out
from api.papers.markup import POLICY, as_html, as_markdown
from api.papers.paper import Paper, Point, Row, Section
from api.papers.pdf import as_pdf, fitting_size
from decision.strict_yaml import read_yaml
from tests.api.papers.conftest import FORBIDDEN, a_case

CASES = sorted((Path(__file__).parents[2] / "cases").glob("[dr][eo]*/*.yaml"))
TRICKY = "a < b & *c* _d_ `e` [f](g) | # \\ <script>alert(1)</script>"


def with_words(words: str) -> Paper:
    sections = (Section(words, words=(words,), points=(Point(words, words),), rows=(Row(words, words),)),)
    return Paper(words, words, (Row(words, words),), sections, (words,))


def words_in(text: str) -> list[str]:
    return re.findall(r"[A-Za-z0-9]+", text)


class Shown(HTMLParser):
    """What a reader sees of a page, and the tags it is made of."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.text, self.tags, self.ids, self._hidden = "", [], [], False
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.ids += [value for name, value in attrs if name == "id"]
        self._hidden = tag in ("style", "title")

    def handle_endtag(self, tag):
        self._hidden = False
        self.text += " " if tag == "dt" else ""

    def handle_data(self, data):
        self.text += "" if self._hidden else data


def in_print(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


@pytest.mark.parametrize("kind", PAPERS)
def test_every_layout_says_the_same(paper, kind):
    one = paper(kind, a_case())

    page = words_in(Shown(as_html(one)).text)
    printed = words_in(in_print(as_pdf(one)))
    rendered = words_in(Shown(MarkdownIt().render(re.sub(r"\[\[.*?\]\]", "", as_markdown(one)))).text)

    assert {word.lower() for word in printed} == {word.lower() for word in page}
    assert rendered == page


def test_text_is_never_read_as_markup():
    one = with_words(TRICKY)

    assert Shown(as_html(one)).text.count(TRICKY) == 11
    assert "script" not in Shown(as_html(one)).tags
    rendered = Shown(MarkdownIt("commonmark", {"html": True}).render(as_markdown(one)))
    assert rendered.text.count(TRICKY) == 11
    assert not {"script", "em", "code", "a"} & set(rendered.tags)
    assert "<script>" in in_print(as_pdf(one))


@pytest.mark.parametrize("kind", PAPERS)
@pytest.mark.parametrize("case", [a_case(), FORBIDDEN])
def test_a_page_runs_and_loads_nothing(paper, kind, case):
    page = as_html(paper(kind, case))

    shown = Shown(page)
    assert not {"script", "link", "img", "iframe", "object", "form"} & set(shown.tags)
    assert not re.search(r"(href|src|action)=|url\(|@import|\son[a-z]+=", page)


def test_the_policy_allows_the_one_style_sheet_of_the_page(paper):
    page = as_html(paper("owner-sheet", a_case()))

    (style,) = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in POLICY
    assert "style=" not in page


def test_blanks_have_names_for_the_caller(paper):
    one = paper("owner-sheet", a_case())

    names = ["animal", "practice", "telephone", "out_of_hours", "visit_time"]
    assert Shown(as_html(one)).ids == names
    assert re.findall(r"\[\[(.*?)\]\]", as_markdown(one)) == names


@pytest.mark.parametrize("form", ["pdf", "html", "markdown"])
@pytest.mark.parametrize("kind", PAPERS)
def test_the_same_case_gives_the_same_bytes(paper, kind, form):
    assert laid_out(paper(kind, a_case()), form) == laid_out(paper(kind, a_case()), form)


def test_fonts_are_embedded_and_nothing_is_run(paper):
    pdf = as_pdf(paper("owner-sheet", a_case()))

    fonts = re.findall(rb"/BaseFont /([A-Za-z+-]+)", pdf)
    assert {font for font in fonts if b"Vera" in font}
    assert b"/FontFile2" in pdf
    assert not re.search(rb"/(JavaScript|JS|Launch|URI|EmbeddedFile)\b", pdf)


def test_a_character_that_the_font_lacks_is_told_by_its_nearest():
    printed = in_print(as_pdf(with_words("Ŵeekend 12 Ω 日")))

    assert "Weekend 12" in printed


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_sheet_of_a_shipped_case_is_one_page_in_large_type(path, paper, shipped):
    document, _ = read_yaml(path.read_text(encoding="utf-8"), file=path.name)
    case = document.data["case"]

    for lesion in case["lesions"]:
        sheet = paper("owner-sheet", case, book=shipped.book, lesion_id=lesion["lesion_id"])

        assert len(PdfReader(io.BytesIO(as_pdf(sheet))).pages) == 1
        assert fitting_size(sheet) >= 11
