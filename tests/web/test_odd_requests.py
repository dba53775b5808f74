"""Whatever is sent to whatever address, nothing breaks: NUL, figures that are none, numbers and texts without end."""

import time

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from footring.records.acts import act
from footring.rows.collection import Person, Piece, Place, Reading
from tests.web.test_who_may import LEAST, address

pytestmark = pytest.mark.django_db
GIVEN = sorted(
    """
    after before from key order words line form place met_from number private property q t r not of open take why c0
    name value part seen instead_of column reason amount currency dated got how from_whom kind what where side credit
    permission instrument sure absent table subject back is_this role username password next sheet all piece put_in
    owner hide id done given firmness stance source page hours handled searched shown_in made lettering code era
    """.split()
)
"""Names of fields that some page reads; each page is sent all of them."""
ODD = {
    "a NUL": "a\0b",
    "no figure": "²",
    "a figure elsewhere": "٣",
    "long number": "9" * 5000,
    "beyond": "9" * 18,
    "long": "x" * 100_000,
}


@pytest.fixture
def ids(keeper):
    with act("put away", keeper) as doing:
        doing.add(
            Place("here", name="Loft"),
            Person("one", name="Ann"),
            Piece("p", name="Tea plate", place="here"),
            Reading("p.form", piece="p", name="form", value="plate"),
        )
    return dict.fromkeys(("piece", "piece_id", "id", "row_id"), "p")


@pytest.mark.parametrize("name", sorted(name for name in LEAST if not name.startswith("api:")))
def test_no_page_breaks_on_what_it_is_sent(name, ids, client_of, keeper, demo):
    client = client_of(keeper)
    for odd, value in ODD.items():
        given = dict.fromkeys(GIVEN, value)
        files = {"photograph": SimpleUploadedFile("a.jpg", b"no"), "file": SimpleUploadedFile("a.csv", b"a,b\n")}
        for answer in (client.get(address(name, ids), given), client.post(address(name, ids), given | files)):
            assert answer.status_code < 500, odd


@pytest.mark.parametrize(
    "again", ["9", "a ", "417 green, ", "7 1/4 ", "1/", '"', "(", "printed ", "1936-39 ", " ", "~0.5 "]
)
def test_a_line_without_end_is_read_soon(again, ids, client_of, keeper, demo):
    """Ten thousand characters of whatever may be begun in many ways; in time of this process, however busy the machine."""
    client, line = client_of(keeper), (again * 10_000)[:9_999] + "!"
    client.get("/", {"t": "417"})
    began = time.process_time()
    assert client.get("/", {"t": line}).status_code == 200
    assert client.post(address("piece-line", ids), {"t": line, "c0": "0"}).status_code < 500
    assert time.process_time() - began < 5


def test_a_nul_in_an_address_is_refused(client_of, keeper):
    answer = client_of(keeper).get("/piece/a%00b/")
    assert answer.status_code == 400 and "NUL" in answer.content.decode()
