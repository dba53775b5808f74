"""A spreadsheet brought in with a browser: mended where it is wrong, watched, and taken back."""

import pytest
from playwright.sync_api import expect

from footring.records.bring_in.progress import incoming
from footring.records.models import MODELS, Job
from footring.records.worker import work_off
from tests.journeys.conftest import PHONE

pytestmark = pytest.mark.slow
SHEET = "Item,Shape,Range,Diameter (mm),Met on\nHotel dish,covered dish,Ormsley,184,12/5/2019\nJug,jug,Wherry,tall,\n"


@pytest.fixture
def sheet(tmp_path):
    file = tmp_path / "plates.csv"
    file.write_text(SHEET)
    return file


def looked_over(page, sheet):
    page.get_by_label("Drop a file here").set_input_files(sheet)
    page.get_by_role("button", name="Look it over").click()
    expect(page.locator(".verdict")).to_contain_text("It would add 1 piece, 3 readings")


def test_a_sheet_is_mended_brought_in_watched_and_taken_back(open_page, nothing_wrong, sheet):
    page = open_page("/bring-in/", size=PHONE)
    nothing_wrong(page)
    looked_over(page, sheet)
    nothing_wrong(page)
    page.get_by_label("Row 3, Diameter (mm)").fill("9 in")
    page.get_by_role("button", name="Look again").first.click()
    expect(page.locator(".verdict")).to_contain_text("It would add 2 pieces, 6 readings")
    page.get_by_role("button", name="Bring in 2 pieces").click()
    job = Job.objects.get()
    (incoming() / f"{job.pk}.progress").write_text('{"what": "writing", "done": 3, "total": 12}')
    expect(page.get_by_role("status")).to_contain_text("3 of 12")
    page.reload()
    expect(page.get_by_role("progressbar")).to_have_attribute("value", "3")
    nothing_wrong(page)
    (incoming() / f"{job.pk}.progress").unlink()
    work_off()
    expect(page.get_by_text("Brought in: 2 pieces, 6 readings")).to_be_visible()
    nothing_wrong(page)
    assert MODELS["pieces"].objects.filter(name="Jug").exists()
    page.get_by_role("button", name="Take it all back").click()
    expect(page.get_by_role("status")).to_contain_text("Being taken back")
    work_off()
    expect(page.get_by_text("It was taken back.")).to_be_visible()
    assert not MODELS["pieces"].objects.filter(name="Jug").exists()


def test_it_goes_without_script_and_in_the_dark(open_page, sheet):
    page = open_page("/bring-in/", script=False, dark=True)
    looked_over(page, sheet)
    page.get_by_role("button", name="Bring in 1 piece").click()
    work_off()
    page.get_by_role("link", name="How far is it now?").click()
    expect(page.get_by_text("Brought in: 1 piece, 3 readings")).to_be_visible()
