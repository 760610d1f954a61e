"""Files of a year: the animation, charts and two trains beside each other; whole or not touched, and refused in one sentence."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from PIL import Image

from tests.reports.drawing_checks import meetings, outside
from tests.reports.year_runs import ALONE, FARM, SITES, pair_of, words_of, year_of
from trainapp.data import samples_path
from trainapp.reports.drawing.display import Box, Circle, Display, Dots, Group, Line, Polyline, Rect, Strokes, Text
from trainapp.reports.drawing.display import Path as Outline
from trainapp.reports.drawing.measure import measure_dejavu
from trainapp.reports.drawing.render_raster import image
from trainapp.reports.drawing.tokens import DARK, LIGHT
from trainapp.reports.export_file import ExportError
from trainapp.reports.year_chart import charts_of, usual
from trainapp.reports.year_files import write_charts, write_table
from trainapp.reports.year_gif import animation, frame, frame_hours
from trainapp.reports.year_pair import pair_page
from trainapp.studies.year import Cancelled

Said = tuple[int, str, str]


def trains(count: int) -> list[tuple[str, object]]:
    pair = pair_of(FARM)
    return list(zip(pair.labels, (pair.first, pair.second), strict=True))[-count:]


# Animation --------------------------------------------------------------------------------------------------------------------------


def test_an_animation_has_its_frames_and_its_size(tmp_path: Path) -> None:
    told: list[float] = []
    path = tmp_path / "a.gif"
    animation(path, trains(2), frames=4, width=480, height=360, progress=lambda share: told.append(share) is None)  # type: ignore[arg-type]
    with Image.open(path) as gif:
        assert (gif.n_frames, gif.size, gif.info["loop"]) == (4, (480, 360), 0)
        for i in range(4):
            gif.seek(i)
            assert gif.info["duration"] == (500 if i < 3 else 2000)
    assert told == sorted(told) and told[0] == 0.0 and told[-1] == 1.0
    assert [p.name for p in tmp_path.iterdir()] == ["a.gif"]


def test_frames_differ_and_the_dark_one_is_dark(tmp_path: Path) -> None:
    animation(tmp_path / "a.gif", [("", year_of(ALONE))], frames=3, width=400, height=300, dark=True)
    with Image.open(tmp_path / "a.gif") as gif:
        pictures = []
        for i in range(gif.n_frames):
            gif.seek(i)
            pictures.append(gif.convert("RGB"))
    assert pictures[0].getpixel((398, 150)) == _rgb(DARK["sheet"])
    assert len({picture.tobytes() for picture in pictures}) == 3


def test_a_stopped_animation_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "a.gif"
    path.write_bytes(b"an older one")
    with pytest.raises(Cancelled):
        animation(path, trains(1), frames=5, width=320, height=240, progress=lambda share: share < 0.3)  # type: ignore[arg-type]
    asked: list[int] = []
    with pytest.raises(Cancelled):
        animation(path, trains(1), frames=5, width=320, height=240, cancelled=lambda: asked.append(1) is None and len(asked) > 2)  # type: ignore[arg-type]
    assert path.read_bytes() == b"an older one" and [p.name for p in tmp_path.iterdir()] == ["a.gif"]


def test_each_frame_is_the_busiest_hour_of_its_stretch() -> None:
    year = year_of(FARM)
    flow = year.course("house", "flow")
    hours = frame_hours([year], 12)
    assert len(hours) == 12 and hours == sorted(hours)
    for i, hour in enumerate(hours):
        assert i * 730 <= hour < (i + 1) * 730 and flow[hour] == flow[i * 730 : (i + 1) * 730].max()
    assert frame_hours([year], 8760)[:3] == [0, 1, 2]


def test_frames_keep_their_texts_apart_and_say_what_is_illustrative() -> None:
    for count, size in ((1, (1280, 800)), (2, (960, 600))):
        drawn = frame(trains(count), 3000, width=size[0], height=size[1], shown=("uv", "dose_credited") if count == 2 else None)  # type: ignore[arg-type]
        assert meetings(drawn, measure_dejavu) == [] and outside(drawn, measure_dejavu) == []
        words = words_of(drawn)
        assert "illustrative" in words and "only tests do" in words


@pytest.mark.parametrize(("name", "said"), [("a.png", "an animation ends in .gif"), ("none/a.gif", "there is no folder")])
def test_an_animation_needs_a_name(tmp_path: Path, name: str, said: str) -> None:
    with pytest.raises(ExportError, match=re.escape(said)):
        animation(tmp_path / name, trains(1), frames=2)  # type: ignore[arg-type]


def test_no_frames_is_no_animation(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="takes 1 to"):
        animation(tmp_path / "a.gif", trains(1), frames=0)  # type: ignore[arg-type]


# Images -----------------------------------------------------------------------------------------------------------------------------


def _rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))


def test_every_shape_is_painted_in_its_colour() -> None:
    shapes = [
        Rect(10, 10, 20, 20, "fail"),
        Circle(50, 20, 8, "ok"),
        Polyline(((70, 10), (90, 10), (80, 30)), "", fill="note", closed=True),
        Outline((("M", 100, 10), ("L", 120, 10), ("Q", 130, 20, 120, 30), ("L", 100, 30), ("Z",)), "caution"),
        Line(10, 50, 60, 50, "ink", 4.0),
        Dots(70, 40, ((5.0, 10.0),), 3.0, "accent"),
        Strokes(90, 40, ((0.0, 10.0, 20.0, 10.0),), "pipe", 4.0),
        Group([Rect(10, 70, 60, 20, "fail")], clip=Box(10, 70, 30, 20)),
        Line(10, 110, 60, 110, "ink", 4.0, (10.0, 10.0)),
        Rect(100, 70, 30, 20, "", "edge", 2.0, 3.0, (4.0, 4.0)),
    ]
    picture = image(Display(150.5, 120, shapes))
    assert picture.size == (151, 120)
    at = {
        (20, 20): "fail", (50, 20): "ok", (80, 14): "note", (112, 20): "caution", (30, 50): "ink", (75, 50): "accent", (100, 50): "pipe",
        (20, 80): "fail", (50, 80): "sheet", (14, 110): "ink", (25, 110): "sheet", (34, 110): "ink", (140, 100): "sheet", (5, 5): "sheet",
    }  # fmt: skip
    for place, token in at.items():
        assert picture.getpixel(place) == _rgb(LIGHT[token]), (place, token)


def test_text_stands_where_it_was_measured() -> None:
    text = Text(75.0, 40.0, "Hardness 18 gpg", "ink", 13.0, "middle", True)
    picture = image(Display(150, 60, [text]))
    ground = _rgb(LIGHT["sheet"])
    inked = [(x, y) for x in range(150) for y in range(60) if picture.getpixel((x, y)) != ground]
    box = text.box(measure_dejavu).grown(1.5)
    assert inked and all(box.holds(x, y) for x, y in inked)
    assert max(x for x, _ in inked) - min(x for x, _ in inked) > 0.9 * (box.w - 3.0)


# Charts and pages -------------------------------------------------------------------------------------------------------------------


def test_charts_are_written_as_they_are_named(tmp_path: Path) -> None:
    rows = charts_of([("", year_of(FARM))], usual(year_of(FARM)))
    for name, begins, count in (("c.svg", b"<svg", 4), ("c.png", b"\x89PNG", 1), ("c.pdf", b"%PDF", 1)):
        write_charts(rows[:count], tmp_path / name, dots=0.5)
        first = (tmp_path / name).read_bytes()
        assert first.startswith(begins)
        write_charts(rows[:count], tmp_path / name, dots=0.5)
        assert (tmp_path / name).read_bytes() == first
    text = (tmp_path / "c.svg").read_text(encoding="utf-8")
    assert "Lone Alder Farm" in text and "illustrative" in text and "only tests do" in text
    with pytest.raises(ExportError, match=r"a chart ends in \.svg, \.png or \.pdf"):
        write_charts(rows, tmp_path / "c.gif")


@pytest.mark.parametrize("site", SITES)
def test_two_trains_beside_each_other_on_a_page(site: str) -> None:
    pair = pair_of(site)
    for system, width in (("us", 1000.0),) if site != FARM else (("us", 1000.0), ("metric", 760.0)):
        page = pair_page(pair, width=width, system=system)  # type: ignore[arg-type]
        assert meetings(page, measure_dejavu) == [] and outside(page, measure_dejavu) == []
        words = words_of(page)
        assert all(measure.label in words for measure in pair.measures if len(measure.label) < 40)
        assert "illustrative" in words.lower() and "only tests do" in words and "Safety" in words


def test_a_teaching_number_is_a_band_and_never_one_value() -> None:
    pair = pair_of(FARM)
    outside_rating = next(measure for measure in pair.measures if measure.key == "outside")
    assert outside_rating.band is not None and outside_rating.band[0] is not None
    words = words_of(pair_page(pair))
    low, high = outside_rating.band[0]
    assert f"{low:.0f} to {high:.0f}\u202fh" in words and f"{outside_rating.first:.1f}\u202fh" not in words
    assert "%" not in re.sub(r"[^|]*\u202f% ?(\||$)", "", words), "shares stand on vessels alone"


def test_a_page_is_written(tmp_path: Path) -> None:
    write_table(pair_of(FARM), tmp_path / "t.svg", system="metric", theme="dark")
    assert DARK["page"] in (tmp_path / "t.svg").read_text(encoding="utf-8")
    with pytest.raises(ExportError, match="two trains beside each other"):
        write_table(pair_of(FARM), tmp_path / "t.txt")


# The prompt -------------------------------------------------------------------------------------------------------------------------

SITE = samples_path("lone-alder-farm-uv-alone.train.json")  # iron reaches its lamp as it comes: it fails, and is drawn all the same


@pytest.fixture
def prompt(year_prompt: Callable[..., Said]) -> Callable[..., Said]:
    """Runs `trainapp year` on a sample site: status, output, errors."""
    return partial(year_prompt, SITE, "--days", "30", "--power-cuts", "0")


def test_the_prompt_writes_what_is_asked(prompt: Callable[..., Said], tmp_path: Path) -> None:
    chart, gif, page = tmp_path / "c.svg", tmp_path / "a.gif", tmp_path / "t.svg"
    status, out, _ = prompt(
        "--before-and-after", "--chart", chart, "--show", "house:iron,uv:film", "--window", "3+2", "--animation", gif, "--frames", "2",
        "--table", page, "--dark", "--units", "metric",
    )  # fmt: skip
    assert status == 1 and out.splitlines()[-3:] == [f"Wrote {gif}", f"Wrote {chart}", f"Wrote {page}"]
    text = chart.read_text(encoding="utf-8")
    assert "Iron, house" in text and "illustrative" in text and DARK["page"] in text and "Hardness" not in text
    with Image.open(gif) as opened:
        assert opened.n_frames == 2 and opened.size == (1280, 800)
    assert page.read_text(encoding="utf-8").count("<svg") == 1


def test_json_stays_alone_on_standard_output(prompt: Callable[..., Said], tmp_path: Path) -> None:
    import json

    status, out, _ = prompt("--json", "--chart", tmp_path / "c.svg")
    assert status == 1 and json.loads(out)["format"] == "trainapp/year" and (tmp_path / "c.svg").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--chart", "c.bmp"), "c.bmp: a chart ends in .svg, .png or .pdf"),
        (("--chart", "none/c.svg"), "none/c.svg: there is no folder none"),
        (("--animation", "a.mp4"), "a.mp4: an animation ends in .gif"),
        (("--table", "t.svg"), "--table shows two trains: add --before-and-after or --without"),
        (("--show", "house:iron"), "--show says what --chart or --animation draws, and there is neither"),
        (("--chart", "c.svg", "--show", "house"), '--show: "house" is not a place and a quantity such as house:hardness'),
        (("--chart", "c.svg", "--show", "attic:iron"), '--show: "attic" is no place of this train; there are supply, uv, '),
        (("--chart", "c.svg", "--show", "uv:beauty"), '--show: uv has no "beauty"; it has flow, '),
        (("--chart", "c.svg", "--window", "soon"), '--window: "soon" is not a day and a number of days such as 40+7'),
        (("--chart", "c.svg", "--window", "40+2"), "--window: 2 days from day 40 on are not in a run of 30 days"),
        (("--window", "4+2"), "--window says which days --chart draws, and there is none"),
        (("--animation", "a.gif", "--frames", "0"), "--frames: an --animation takes 1 to 1000"),
        (("--frames", "5"), "--frames: an --animation takes 1 to 1000"),
        (("--without", "attic", "--chart", "c.svg"), 'stages.attic: "attic" is not a stage of this train'),
        (("--before-and-after", "--chart", "x.svg", "--table", "x.svg"), "two files of one name were asked for"),
    ],
)
def test_what_cannot_be_written_is_one_sentence(
    prompt: Callable[..., Said], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    status, out, err = prompt(*words)
    told = [line for line in err.splitlines() if not line.startswith("Running")]
    assert status == 2 and out == "" and len(told) == 1 and told[0].startswith(said)
    assert os.listdir(tmp_path) == []


def test_several_stages_are_left_out_together(year_prompt: Callable[..., Said], tmp_path: Path) -> None:
    farm = samples_path("lone-alder-farm.train.json")
    few = ("--days", "30", "--power-cuts", "0")
    status, out, _ = year_prompt(farm, *few, "--without", "iron, fine", "--table", tmp_path / "t.svg")
    assert status == 0 and "without iron, fine" in out
