"""The verb that makes the director's page."""

from __future__ import annotations

import json

from cli_types import Job, Run

from previs.media import frame_index


def test_review_writes_a_page_and_its_movies(job: Job, run: Run) -> None:
    assert run("assemble", job.file).code == 0
    assert run("cuts", job.file, "copy", "v1", "v2").code == 0
    assert run("edit", job.file, "v2", "trim-tail", 1, "--", -3).code == 0
    out = job.folder / "review"
    ran = run("review", job.file, "--against", "v1", "-o", out, "--json")
    assert ran.code == 0, ran.err
    told = json.loads(ran.out)
    assert [path.rsplit("/", 1)[1] for path in told["files"]] == ["index.html", "movie.mp4", "earlier.mp4"]
    assert (told["cut"], told["against"]) == ("v2", "v1")
    assert frame_index(out / "movie.mp4").frames == frame_index(out / "earlier.mp4").frames - 3
    text = (out / "index.html").read_text(encoding="utf-8")
    assert text.count("rehearsal footage: not for distribution") >= 2
    ran = run("review", job.file, "--no-confidential", "-o", out)
    assert ran.code == 0, ran.err
    assert "send the whole folder" in ran.err
    assert '<p class="tape_line">' not in (out / "index.html").read_text(encoding="utf-8")


def test_what_cannot_be_reviewed_is_one_sentence(job: Job, run: Run) -> None:
    out = job.folder / "review"
    ran = run("review", job.file, "-o", out)
    assert (ran.code, ran.err) == (2, "previs: There is no cut yet; assemble one first.\n")
    assert run("assemble", job.file).code == 0
    ran = run("review", job.file, "--against", "v1", "-o", out)
    assert ran.code == 2
    assert "previs: Cut v1 cannot be compared with itself; name another one with --against.\n" in ran.err
    ran = run("review", job.file, "-o", job.file)
    assert ran.code == 2
    assert "is a file; name a folder for the review." in ran.err
    assert not out.exists()
