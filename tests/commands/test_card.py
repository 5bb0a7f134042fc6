"""sparkgap card."""

from __future__ import annotations

READING = "motor-current=4.1 A@clamp"


def test_a_card_goes_to_the_output_or_to_a_file(run, tmp_path):
    ran = run("card", "pump-checks")
    assert ran.code == 0 and ran.out.startswith("<!doctype html>")
    file = tmp_path / "card.html"
    ran = run("card", "pump-checks", "--out", str(file))
    assert (ran.code, ran.out) == (0, f"wrote {file}\n")
    assert "A pump that stays silent" in file.read_text("utf-8")


def test_findings_are_on_the_card(run):
    ran = run("card", "pump-checks", "--symptom", "pump-silent", "--unit", "demo-brushed", "--complaint", "dead <pump>",
              "--found", "tank-full=full", "lights=~dim", "--reading", READING, "--replaced", "fuse")
    text = " ".join(ran.out.split())
    for part in ("Demo pump, brushed", "dead &lt;pump&gt;", "Fitted already: <b>Fuse of the listed rating</b>",
                 "Dim or dead (told, not seen)", "Judged: within", "Likeliest: ",
                 "Found so far: Pump stays silent", "Motor: <b>With brushes</b>"):
        assert part in text, part
    assert text.count('<span class="card-box card-ticked">✓</span>') == 3


def test_what_stops_it(run, tmp_path):
    for arguments, says in (
        (["pump-chcks"], ["there is no procedure 'pump-chcks'", "did you mean pump-checks?"]),
        (["pump-checks", "--symptom", "x"], ["there is no symptom 'x'", "one of lights-dim, pump-silent"]),
        (["pump-checks", "--out", "card.txt"],
         ["card.txt: this paper is written as .pdf or .html", "name FILE.pdf or FILE.html"]),
        (["pump-checks", "--site", "shop"],
         ["'shop' is no address of a site, such as https://repair.example/",
          "mend --site or SPARKGAP_SITE, or leave them out"]),
        (["pump-checks", "--job", "none.job.json", "--complaint", "dead"],
         ["--job says what --complaint would say", "give one or the other"]),
        (["pump-checks", "--job", str(tmp_path / "none.job.json")],
         [f"{tmp_path / 'none.job.json'}: No such file or directory (name a job file that can be read)"]),
        (["pump-checks", "--out", str(tmp_path / "no" / "card.html")],
         [f"{tmp_path / 'no' / 'card.html'}: No such file or directory", "name a place that can be written"]),
        (["pump-checks", "--unit", "x"], ["there is no unit 'x': one of demo-brushed, demo-brushless"]),
    ):
        ran = run("card", *arguments)
        assert (ran.code, ran.out) == (2, "")
        assert ran.err.splitlines() == [f"sparkgap: {line}" for line in says]
