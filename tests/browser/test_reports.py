"""Every report page of the demo, driven in a real browser."""

import pytest

from stitchlog.run.notebooks import NAMES

PAGES = (*NAMES, "index")

# A mark that answers to the mouse where its middle is, scrolled into view: [x, y, its piece].
FIND_MARK = """(follows) => {
  for (const mark of document.querySelectorAll("figure .live svg g[class*='mark-'] > path")) {
    const item = mark.__data__;
    if (!item || item.tooltip == null || (follows && !(item.datum && item.datum.piece))) continue;
    if (follows && !mark.closest("figure").hasAttribute("data-follows")) continue;
    mark.scrollIntoView({ block: "center" });
    const box = mark.getBoundingClientRect();
    const x = box.x + box.width / 2, y = box.y + box.height / 2;
    if (box.width >= 2 && document.elementFromPoint(x, y) === mark) return [x, y, item.datum.piece ?? null];
  }
  return null;
}"""
# How opaque the marks of every piece are, over all charts: {piece: [opacities]}.
OPACITIES = """() => {
  const seen = {};
  for (const mark of document.querySelectorAll("figure[data-follows] .live svg g[class*='mark-'] > path")) {
    const item = mark.__data__;
    if (item && item.datum && typeof item.datum.piece === "string" && item.tooltip != null)
      (seen[item.datum.piece] ??= []).push(item.opacity ?? 1);
  }
  return seen;
}"""
AXE = "() => axe.run(document, { resultTypes: ['violations'] })"


@pytest.mark.parametrize("name", PAGES)
def test_every_chart_is_drawn_without_an_error_or_a_request(demo_reports, opened, name):
    seen = opened(demo_reports / f"{name}.html")
    figures = seen.page.locator("figure.chart")
    assert (figures.count() > 0) == (name != "index")
    for figure in figures.all():
        assert figure.locator(".live svg").is_visible()
        assert not figure.locator(".still").is_visible()
        assert figure.locator(".live svg g[class*='mark-'] > *").count() > 0
        assert figure.locator(".live").get_attribute("aria-label")
    assert seen.errors == [] and seen.requests == []


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_scrolls_sideways_but_wide_tables_in_their_own_box(demo_reports, opened, name, width):
    page = opened(demo_reports / f"{name}.html", width=width).page
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    overflowing = """() => [...document.querySelectorAll("main *:not(.wide *):not(svg *)")]
      .filter((e) => e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.outerHTML.slice(0, 120))"""
    assert page.evaluate(overflowing) == []


@pytest.mark.parametrize("name", PAGES)
def test_with_scripts_off_every_chart_has_its_picture(demo_reports, opened, name):
    page = opened(demo_reports / f"{name}.html", scripts=False).page
    for figure in page.locator("figure.chart").all():
        picture = figure.locator("img.still")
        picture.scroll_into_view_if_needed()
        assert picture.is_visible() and picture.get_attribute("alt")
        assert picture.bounding_box()["width"] > 100
    assert page.locator("h1").count() == 1


@pytest.mark.parametrize("name", NAMES)
def test_a_mark_tells_more_under_the_mouse(demo_reports, opened, name):
    page = opened(demo_reports / f"{name}.html").page
    mark = page.evaluate(FIND_MARK, False)
    assert mark, "no mark has a tooltip"
    page.mouse.move(mark[0], mark[1])
    page.locator("#vg-tooltip-element.visible").wait_for(timeout=10_000)
    told = page.locator("#vg-tooltip-element").inner_text()
    assert told.strip()
    # A day that is not typed as one would show as milliseconds since 1970.
    assert not any(part.isdigit() and len(part) == 13 for part in told.split())


@pytest.mark.parametrize("name", NAMES)
def test_a_click_follows_a_piece_through_all_charts(demo_reports, opened, name):
    page = opened(demo_reports / f"{name}.html").page
    if page.locator("figure[data-follows]").count() == 0:
        assert page.locator("#follow").count() == 0
        return
    mark = page.evaluate(FIND_MARK, True)
    assert mark, "no mark of a piece can be clicked"
    page.mouse.click(mark[0], mark[1])
    page.wait_for_function("(piece) => document.getElementById('follow').value === piece", arg=mark[2])
    _assert_follows(page, mark[2])
    page.keyboard.press("Escape")
    page.wait_for_function("document.getElementById('follow').value === ''")
    _assert_follows(page, None)


@pytest.mark.parametrize("name", NAMES)
def test_a_piece_can_be_followed_with_the_keyboard(demo_reports, opened, name):
    page = opened(demo_reports / f"{name}.html").page
    chooser = page.locator("#follow")
    if chooser.count() == 0:
        pytest.skip("no chart of this page shows pieces")
    chooser.focus()
    page.keyboard.press("ArrowDown")
    _assert_follows(page, chooser.input_value())


def test_only_pieces_of_the_diary_can_be_followed(demo_reports, opened):
    page = opened(demo_reports / "rotation.html").page
    offered = page.locator("#follow option").all_inner_texts()
    assert "Otter Creek" in offered and not [name for name in offered if name.endswith("other pieces")]


@pytest.mark.parametrize("name", ["review", "rotation"])
def test_the_values_of_marks_can_be_read_with_the_keyboard(demo_reports, opened, name):
    page = opened(demo_reports / f"{name}.html").page
    chart = page.locator("figure .live[tabindex='0']").first
    chart.focus()
    page.keyboard.press("ArrowRight")
    voice = page.locator("figure .voice").first
    first = voice.inner_text()
    assert ": " in first and "(1 of " in first
    page.keyboard.press("ArrowRight")
    assert "(2 of " in voice.inner_text() and voice.inner_text() != first
    assert chart.locator(".ring").is_visible()
    page.keyboard.press("Home")
    assert voice.inner_text() == first
    page.keyboard.press("Tab")
    assert voice.inner_text() == ""


def _assert_follows(page, piece):
    """Waits until no mark of another piece stands out, and none of this one is faded."""
    ready = f"""(piece) => Object.entries(({OPACITIES})()).every(([name, seen]) =>
      seen.every((o) => piece === null || name === piece ? o > 0.2 : o < 0.2))"""
    page.wait_for_function(ready, arg=piece, timeout=10_000)
    assert page.evaluate(OPACITIES)


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_accessibility_checker_finds_nothing_serious(demo_reports, opened, axe, name, scheme):
    page = opened(demo_reports / f"{name}.html", scheme=scheme).page
    page.evaluate(axe)
    found = page.evaluate(AXE)["violations"]
    told = [(v["id"], v["impact"], [n["html"][:160] for n in v["nodes"][:3]]) for v in found]
    assert [t for t in told if t[1] in ("serious", "critical")] == []


@pytest.mark.parametrize("name", NAMES)
def test_charts_turn_dark_with_the_readers_system_and_paper_stays_light(demo_reports, opened, name):
    seen = opened(demo_reports / f"{name}.html", scheme="dark")
    behind = "getComputedStyle(document.documentElement).backgroundColor"
    assert seen.page.evaluate(behind) == "rgb(28, 27, 25)"
    fills = "() => [...document.querySelectorAll('.live svg text')].map((t) => t.getAttribute('fill'))"
    assert "#2b2a27" not in seen.page.evaluate(fills)
    seen.page.emulate_media(color_scheme="light")
    seen.page.wait_for_function(f"({fills})().includes('#2b2a27')", timeout=30_000)
    seen.page.emulate_media(media="print", color_scheme="dark")
    assert seen.page.locator("figure.chart .still").first.is_visible()
    assert not seen.page.locator("figure.chart .live").first.is_visible()
    assert seen.errors == []
