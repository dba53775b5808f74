"""A file is sent, looked over, mended in place, brought in, and taken back at once."""

import io
import re
import zipfile
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

import footring.demo
from footring.records.acts import act, revision
from footring.records.bring_in import work
from footring.records.bring_in.progress import ask_to_stop, file_of, incoming
from footring.records.models import MODELS, Job, Role, State, User
from footring.records.worker import work_off
from footring.rows.collection import Reading

pytestmark = pytest.mark.django_db
DEMO = Path(footring.demo.__file__).parent / "pack"
SHEET = """Item,Shape,Range,Pattern no,Diameter (mm),Kept,Met on
Hotel dish,covered dish,Ormsley,417,184,Shelf 3,12/5/2019
Tea plate,plate,Ormsly,none,8 in,shelf 3,May 2020
Jug,jug,Wherry,,tall,Shelf 4,
,,,,,,
Cup,cup,Wherry,417 ~0.7,,,
"""


def counts() -> tuple[int, ...]:
    return tuple(MODELS[table].objects.count() for table in ("pieces", "readings", "places", "encounters"))


def send(browser, text=SHEET, name="plates.csv"):
    data = text if isinstance(text, bytes) else text.encode()
    answer = browser.post("/bring-in/", {"file": SimpleUploadedFile(name, data)})
    return Job.objects.first() if answer.status_code == 302 else answer


def page_of(browser, job) -> str:
    html = browser.get(f"/bring-in/{job.pk}/").content.decode()
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", html))


def brought_in(browser, job):
    assert browser.post(f"/bring-in/{job.pk}/start/").status_code == 302
    work_off()
    job.refresh_from_db()
    return job


def test_nothing_is_written_until_it_is_asked_for(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser)
    told = page_of(browser, job)
    assert "It would add 3 pieces, 11 readings, 1 place and 2 days they were met on" in told
    assert "1 row would be left out because of Diameter (mm)" in told
    assert "Row 4, Diameter (mm)" in told and "not a number with a unit" in told
    assert counts() == (0, 0, 0, 0) and revision() == 0


def test_it_is_mended_in_place_and_brought_in_whole(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser)
    asked = {f"means-{i}": of for i, of in enumerate("name form line number across place met".split(), 1)}
    asked |= {"unit-5": "mm", "unit-7": "day first", "fix-4:5": "9 in", "was-4:5": "tall"}
    browser.post(f"/bring-in/{job.pk}/look/", asked)
    assert "It would add 4 pieces, 14 readings" in page_of(browser, job)
    job = brought_in(browser, job)
    assert (job.state, counts()) == (State.DONE, (4, 14, 2, 2))
    dish = MODELS["pieces"].objects.get(name="Hotel dish")
    assert dish.place.name == "Shelf 3" and dish.added_in == job.act
    assert MODELS["encounters"].objects.get(piece=dish).met == "2019-05-12"
    assert MODELS["readings"].objects.get(piece=dish, name="across").value == "184 mm"
    assert "Brought in: 4 pieces, 14 readings" in page_of(browser, job)


def test_the_same_file_twice_changes_nothing(client_of, keeper):
    browser = client_of(keeper)
    brought_in(browser, send(browser))
    before, done = counts(), revision()
    again = send(browser, name="plates (1).csv")
    assert "It would add nothing" in page_of(browser, again) and "3 are here already" in page_of(browser, again)
    again = brought_in(browser, again)
    assert (counts(), revision(), again.state, again.message) == (before, done, State.DONE, work.NOTHING_NEW)


def test_a_row_more_adds_one_piece(client_of, keeper):
    browser = client_of(keeper)
    brought_in(browser, send(browser))
    job = send(browser, SHEET.replace("Cup,cup", "Saucer,saucer,Wherry,,,,\nCup,cup"))
    assert "It would add 1 piece" in page_of(browser, job)


def test_one_press_takes_it_all_back(client_of, keeper):
    browser = client_of(keeper)
    with act("before", keeper) as doing:
        doing.add(MODELS["pieces"].SPEC.row_class("p", name="There before"))
    job = brought_in(browser, send(browser))
    browser.post(f"/bring-in/{job.pk}/back/")
    work_off()
    job.refresh_from_db()
    assert (job.state, counts()) == (State.BACK, (1, 0, 0, 0))
    assert brought_in(browser, job).state == State.DONE and counts() == (4, 11, 1, 2)


def test_what_rests_on_it_keeps_it_from_being_taken_back(client_of, keeper):
    browser = client_of(keeper)
    job = brought_in(browser, send(browser))
    with act("read", keeper) as doing:
        doing.add(Reading("later", piece=MODELS["pieces"].objects.first().pk, name="trim", value="gold line"))
    browser.post(f"/bring-in/{job.pk}/back/")
    work_off()
    assert "undo what was done later first" in page_of(browser, job) and counts()[0] == 3
    job.refresh_from_db()
    assert job.state == State.DONE


def test_names_not_in_the_reference_are_told_with_the_nearest(client_of, keeper, demo):
    told = page_of(client_of(keeper), send(client_of(keeper)))
    assert "line Ormsly (1; is it Ormsley?)" in told


def test_a_column_may_be_left_out_or_taken_for_something_else(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser)
    browser.post(f"/bring-in/{job.pk}/look/", {"means-1": "name", "means-2": "nonsense", "means-4": "numeral"})
    assert Job.objects.get().given["columns"][:4] == [["name", ""], ["", ""], ["", ""], ["numeral", ""]]
    assert "It would add 4 pieces and 3 readings." in page_of(browser, job)


# ---- packs


def packed(change=None) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(DEMO.iterdir()):
            archive.write(path, path.name)
        if change:
            change(archive)
    return buffer.getvalue()


def test_a_pack_is_brought_in_once(client_of, keeper):
    browser = client_of(keeper)
    job = brought_in(browser, send(browser, packed(), "works.zip"))
    assert (job.kind, job.state) == ("pack", State.DONE) and MODELS["lines"].objects.exists()
    before = revision()
    again = send(browser, packed(), "works.zip")
    assert "It would add nothing" in page_of(browser, again)
    assert brought_in(browser, again).message == work.NOTHING_NEW and revision() == before


def test_what_stands_otherwise_here_stays_as_it_is(client_of, keeper, demo):
    with act("rename", keeper) as doing:
        doing.change("makers", MODELS["makers"].objects.first().pk, name="Tarn Works")
    told = page_of(client_of(keeper), send(client_of(keeper), packed(), "works.zip"))
    assert "1 of them stands otherwise in the file" in told


def test_a_pack_with_faults_is_told_and_not_brought_in(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser, packed(lambda archive: archive.writestr("wibbles.csv", "id\nx\n")), "works.zip")
    told = page_of(browser, job)
    assert "wibbles.csv" in told and "mend the file" in told and "Bring it in" not in told
    assert brought_in(browser, job).state == State.FAILED and revision() == 0


@pytest.mark.parametrize("name", ["../../evil.csv", "/etc/evil.csv", "C:\\evil.csv", "a/../../evil.csv"])
def test_a_pack_that_climbs_out_of_its_folder_is_refused(client_of, keeper, name, tmp_path):
    browser = client_of(keeper)
    around = set(incoming().parent.rglob("*evil*"))
    job = send(browser, packed(lambda archive: archive.writestr(name, "id\nx\n")), "works.zip")
    assert "outside the pack" in page_of(browser, job)
    assert brought_in(browser, job).state == State.FAILED and revision() == 0
    assert set(incoming().parent.rglob("*evil*")) == around and not Path("/etc/evil.csv").exists()


def test_a_member_brings_in_pieces_and_no_pack(client_of):
    member = User.objects.create(username="ann", role=Role.MEMBER)
    browser = client_of(member)
    assert brought_in(browser, send(browser)).state == State.DONE
    job = send(browser, packed(), "works.zip")
    assert "ask a curator" in page_of(browser, job)
    assert brought_in(browser, job).state == State.FAILED and not MODELS["lines"].objects.exists()


# ---- who, what, and what goes wrong


def test_a_file_is_seen_by_who_sent_it_and_by_curators(client_of, keeper):
    job = send(client_of(User.objects.create(username="ann", role=Role.MEMBER)))
    other = client_of(User.objects.create(username="bob", role=Role.MEMBER))
    assert client_of(keeper).get(f"/bring-in/{job.pk}/").status_code == 200
    assert other.get(f"/bring-in/{job.pk}/").status_code == 404
    for doing in ("look", "start", "stop", "back", "forget"):
        assert other.post(f"/bring-in/{job.pk}/{doing}/").status_code == 404
    assert "plates.csv" not in other.get("/bring-in/").content.decode() and Job.objects.get().state == State.CHOSEN


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("plates.pdf", b"%PDF", "expected a file that ends in"),
        ("plates.xlsx", b"PK\x05\x06" + bytes(18), "a zip that is no workbook"),
        ("plates.csv", b"", "submitted"),
    ],
)
def test_a_file_of_another_kind_is_told(client_of, keeper, name, data, told):
    answer = send(client_of(keeper), data, name)
    page = page_of(client_of(keeper), answer) if isinstance(answer, Job) else answer.content.decode()
    assert told in page or "no file" in page or "an empty sheet" in page or "no tables" in page


def test_no_file_is_told(client_of, keeper):
    answer = client_of(keeper).post("/bring-in/", {})
    assert answer.status_code == 400 and "no file was chosen" in answer.content.decode()


def test_a_name_from_outside_is_only_a_name(client_of, keeper):
    job = send(client_of(keeper), name="../../<b>plates</b>.csv")
    assert file_of(job).parent == incoming() and "<b>plates" not in client_of(keeper).get("/bring-in/").content.decode()


def test_it_can_be_stopped_before_its_turn_and_in_the_middle(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser)
    browser.post(f"/bring-in/{job.pk}/start/")
    browser.post(f"/bring-in/{job.pk}/stop/")
    work_off()
    job.refresh_from_db()
    assert (job.state, counts()[0]) == (State.CANCELLED, 0)
    browser.post(f"/bring-in/{job.pk}/start/")
    Job.objects.filter(pk=job.pk).update(state=State.RUNNING)
    browser.post(f"/bring-in/{job.pk}/stop/")
    Job.objects.filter(pk=job.pk).update(state=State.WAITING)
    ask_to_stop(job)
    work_off()
    job.refresh_from_db()
    assert (job.state, counts()[0], revision()) == (State.CANCELLED, 0, 0)
    assert sorted(path.name for path in incoming().glob(f"{job.pk}.*")) == []
    assert brought_in(browser, job).state == State.DONE


def test_what_is_being_done_is_not_begun_twice(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser)
    browser.post(f"/bring-in/{job.pk}/start/")
    answer = browser.post(f"/bring-in/{job.pk}/start/")
    assert answer.status_code == 400 and "waiting for its turn already" in answer.content.decode()


def test_progress_is_shown_and_the_page_comes_anew_at_the_end(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser)
    browser.post(f"/bring-in/{job.pk}/start/")
    (incoming() / f"{job.pk}.progress").write_text('{"what": "writing", "done": 1200, "total": 4000}')
    answer = browser.get(f"/bring-in/{job.pk}/progress/")
    assert "1,200 of 4,000" in answer.content.decode() and "HX-Refresh" not in answer.headers
    assert '<progress value="1200" max="4000"' in browser.get(f"/bring-in/{job.pk}/").content.decode()
    (incoming() / f"{job.pk}.progress").unlink()
    work_off()
    assert browser.get(f"/bring-in/{job.pk}/progress/").headers["HX-Refresh"] == "true"


def test_a_forgotten_file_is_gone_and_what_came_from_it_stays(client_of, keeper):
    browser = client_of(keeper)
    job = brought_in(browser, send(browser))
    browser.post(f"/bring-in/{job.pk}/forget/")
    assert not Job.objects.exists() and not file_of(job).exists() and counts()[0] == 3


def test_a_file_that_is_not_kept_any_more_is_told(client_of, keeper):
    browser = client_of(keeper)
    job = send(browser)
    file_of(job).unlink()
    assert "is not kept here any more: send it again" in page_of(browser, job)
    assert brought_in(browser, job).state == State.FAILED and "send it again" in page_of(browser, job)
