"""The words of the demo's pages: no sentence too long to say, none of the turns of phrase that must be read twice."""

import html
import re
from pathlib import Path

import pytest

PAGES = ("review", "pace", "rotation", "finish", "plan", "materials", "stash")
MOST_WORDS = 25
# What is not said, and what is said instead.
UNSAID = {
    r"half the chances": "even odds by",
    r"should not be finished before": "unlikely before",
    r"within sight": "could take more than",
    r"\bwindows?\b": "range",
    r"comes? out with": "will be met",
    r"\bdoubtful\b": "unlikely",
    r"\bdearest\b": "costs the most",
    r"let(ting)? go of": "drop",
    r"on the go": "in progress",
    r"needle (was )?in hand|had the needle|needle stayed|gets the needle": "you stitched on",
    r"longest (run|rest)\b": "longest streak, longest break",
    r"back in hand|carried on from": "picked up again, stitched from",
    r"wanted by": "due",
    r"\bto be sure\b": "to be safe",
    r"off the skein": "thread used",
    r"\bmoves your pace": "speeds you up or slows you down",
    r"borne? out|bears? out|bear out": "clear",
    r"as divided": "plain average",
    r"\bmend(s|ed|ing)?\b": "fix",
    r"reckoned": "worked out",
    r"seen from": "up to",
    r"equal shares would be": "you spread your time over about",
    r"\bcloth\b": "fabric",
    r"\bbesides:": "plus",
    r"stayed in the bag": "I didn't get to it",
    r"held the finish|run its course": "were right",
    r"played through": "simulated",
    r"is still to do\b": "you have not stitched",
    r"page tells of": "I had more",
}


def _paragraphs(page: Path) -> list[str]:
    """What a page says in paragraphs, its notes for the workbook and its tables left out."""
    text = page.read_text("utf-8")
    text = text[text.index("<main") :] if "<main" in text else text
    text = re.sub(r"<(script|style|table|svg|select)\b.*?</\1>", "", text, flags=re.DOTALL)
    found = re.findall(r"<(?:p|h1|h2|h3|li)\b[^>]*>(.*?)</(?:p|h1|h2|h3|li)>", text, flags=re.DOTALL)
    return [html.unescape(re.sub(r"<[^>]+>", "", part)).strip() for part in found]


def _sentences(paragraph: str) -> list[str]:
    return [s for s in re.split(r"(?<=[.!?:;])\s+", paragraph) if s]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_can_be_read_once(demo_reports, name):
    for paragraph in _paragraphs(demo_reports / f"{name}.html"):
        for turn, instead in UNSAID.items():
            assert not re.search(turn, paragraph, re.IGNORECASE), f"say {instead}: {paragraph}"
        for sentence in _sentences(paragraph):
            # Names in a list are read one by one; they do not make a sentence hard.
            counted = re.sub(r"\([^)]*\)", "", sentence)
            if counted.count(",") < 3:
                assert len(counted.split()) <= MOST_WORDS, sentence
        assert "!" not in paragraph, paragraph


def test_the_notes_can_be_read_aloud(demo_reports):
    text = (demo_reports / "review" / "notes.md").read_text("utf-8")
    for turn, instead in UNSAID.items():
        assert not re.search(turn, text, re.IGNORECASE), f"say {instead}"


@pytest.mark.parametrize("name", [*(f"{page}.html" for page in (*PAGES, "index")), "review/description.md"])
def test_tables_and_pictures_are_in_the_same_words(demo_reports, name):
    text = (demo_reports / name).read_text("utf-8")
    text = re.sub(r"<(script|style)\b.*?</\1>", "", text, flags=re.DOTALL)
    pictured = re.findall(r'alt="([^"]*)"', text)
    text = "\n".join([html.unescape(re.sub(r"<[^>]+>", " ", text)), *pictured])
    # A prompt of the demo is "A light in the window": what the stitcher writes is hers.
    text = text.replace("A light in the window", "")
    for turn, instead in UNSAID.items():
        found = re.search(f".{{0,40}}(?:{turn}).{{0,40}}", text, re.IGNORECASE)
        assert not found, f"say {instead}: {found.group() if found else ''}"
