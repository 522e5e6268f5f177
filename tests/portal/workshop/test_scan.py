"""What the scanner or a person types finds the job that is meant, and changes nothing."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.domain import job_number
from jobs.models import Job, JobEvent
from jobs.selectors.awaited import BoxSigns, find_awaited
from jobs.selectors.scan import ScanOutcome, clean, find_by_scan
from jobs.services import parcels
from packing import selectors as catalogue
from packing.identify.normalise import normalise
from tests import factories as make
from tests.factories import NOW, WORKSHOP

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return make.make_job(stage="cleared")


@pytest.fixture
def posted():
    job = make.make_job(stage="posted")
    parcels.add_tracking(
        job.number,
        carrier="",
        tracking_number="1Z999AA10123456784",
        actor=WORKSHOP,
        now=NOW + timedelta(days=9),
    )
    job.refresh_from_db()
    return job


def look(text):
    return find_by_scan(text)


def found(text):
    return [hit.number for hit in look(text).hits]


@pytest.mark.parametrize(
    "written",
    [
        "HTTP://SHOP.EXAMPLE/W/{0}",
        "http://shop.example/w/{0}/",
        "\x02{0}\r\n",
        "{1}",
        " {2} ",
        "{3}",
    ],
)
def test_every_way_of_writing_a_job_number_opens_its_job(job, written):
    shown = job_number.show(job.number)
    text = written.format(job.number, shown, shown.replace("-", "."), shown.replace(" ", ""))
    assert look(text).only.number == job.number


def test_a_wrong_check_digit_names_the_likely_number_and_opens_nothing(job):
    swapped = job.number[:2] + job.number[3] + job.number[2] + job.number[4:]
    if swapped == job.number:
        swapped = job.number[0] + job.number[2] + job.number[1] + job.number[3:]
    if swapped == job.number:
        pytest.skip("all these digits are the same")
    result = look(swapped)
    assert result.outcome is ScanOutcome.MISREAD
    assert result.only is None
    assert f"It is likely {job_number.show(job.number)}" in result.sentence


@pytest.mark.parametrize("at", range(7))
def test_any_one_wrong_digit_names_the_job_that_lies_one_digit_away(job, at):
    wrong = str((int(job.number[at]) + 1) % 10)
    typed = job.number[:at] + wrong + job.number[at + 1 :]
    result = look(typed)
    assert (result.outcome, result.only) == (ScanOutcome.MISREAD, None)
    assert job_number.show(job.number) in result.sentence
    assert job.number in [hit.number for hit in result.hits]


def test_six_digits_of_a_job_number_are_asked_for_their_seventh(job):
    result = look(job.number[:6])
    assert result.only is None
    assert [hit.number for hit in result.hits] == [job.number]
    assert "the check digit" in result.sentence
    assert f"It is likely {job_number.show(job.number)}" in result.sentence
    assert "Type all seven" in look("482109").sentence


def test_a_misread_digit_far_from_every_job_says_to_compare_with_the_slip():
    make.open_shop()
    result = look("4821094")
    assert result.hits == ()
    assert "Compare it with the slip" in result.sentence


def test_a_letter_read_for_a_digit_offers_the_job(job):
    spelled = job.number.replace("0", "O").replace("1", "I").replace("5", "S").replace("8", "B")
    if spelled == job.number:
        pytest.skip("no digit of this number looks like a letter")
    assert found(spelled) == [job.number]
    assert look(spelled).only is None


def test_a_good_number_without_a_job_says_so():
    make.open_shop()
    assert "no job of this shop has that number" in look("4821095").sentence


def test_the_parcel_number_finds_the_job_also_by_its_end(posted):
    assert look("1Z 999 AA1 0123 4567 84").only.number == posted.number
    assert "at its end" in look("0123456784").hits[0].reason


def test_the_number_on_a_nameless_box_finds_it_again():
    box = make.make_box()
    assert found("KV 4081-B") == [box.number]


@pytest.mark.parametrize("scanned", ["QF12345678901", "qf 123 456 789 01"])
def test_the_parcel_number_on_a_nameless_box_finds_it_again(scanned):
    box = make.make_box(parcel_number="qf 123-456-789-01")
    result = look(scanned)
    assert result.only.number == box.number
    assert result.sentence == "This number stood on the box when it came."


def test_a_scanned_parcel_is_looked_for_without_reading_the_log(job):
    """The log is thirty times as long as the list of jobs, and only its JSON would hold the number."""
    with CaptureQueriesContext(connection) as asked:
        assert look("ZZ123456785GB").hits == ()
    assert len(asked) > 0
    assert [query["sql"] for query in asked if "jobs_jobevent" in query["sql"]] == []


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the words of SQLite's plan are read")
def test_a_scanned_parcel_is_looked_for_in_indexes_and_never_in_the_whole_rows(job):
    with CaptureQueriesContext(connection) as asked:
        look("ZZ123456785GB")
    (search,) = [query["sql"] for query in asked if "tracking_in" in query["sql"]]
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {search}")
        steps = {row[3] for row in cursor.fetchall()}
    columns = ("tracking_in", "tracking_out", "number_as_read", "number_found")
    assert {f"SCAN U0 USING COVERING INDEX job_{column}" for column in columns} <= steps
    assert "SEARCH U0 USING COVERING INDEX job_parcel_seen (parcel_seen=?)" in steps


def test_a_customer_is_found_by_name_mail_and_end_of_phone(job):
    make.make_job(name="Bran Okeley", email="bran@example.com", phone="01632 960 777")
    assert found("thornby ada") == [job.number]
    assert found("ADA@example.com") == [job.number]
    assert found("960 555") == [job.number]


@pytest.mark.parametrize("extension", [" ext 12", " ext. 1204", "x12", " #12", ", extension: 12"])
def test_an_extension_hides_no_phone_number_in_the_record_or_in_the_scan(extension):
    plain = make.make_job(name="Bran Okeley", phone="01632 960 777")
    extended = make.make_job(name="Cass Orrin", phone=f"01632 960 888{extension}")
    assert found("960 888") == [extended.number]
    assert found(f"01632 960888{extension}") == [extended.number]
    assert found(f"960 777{extension}") == [plain.number]
    assert look("960 888").hits[0].reason == f"The customer's phone number is 01632 960 888{extension}."


@pytest.mark.parametrize("typed", ["+44 1632 960 777", "0044 1632 960777", "01632 960777"])
@pytest.mark.parametrize("kept", ["01632 960 777", "+44 1632 960777"])
def test_a_phone_number_is_found_with_its_countrys_code_and_without(typed, kept):
    make.make_job(name="Cass Orrin", phone="01632 960 888")
    meant = make.make_job(name="Bran Okeley", phone=kept)
    assert found(typed) == [meant.number]


def test_too_few_digits_of_a_number_are_asked_for_more(job):
    assert look("555").sentence == "Nothing here answers to “555”. Type four digits or more of a number."


def test_an_extension_is_not_the_end_of_a_phone_number():
    make.make_job(name="Cass Orrin", phone="01632 960 888 ext 120455")
    assert found("120455") == []


def test_the_word_of_an_extension_is_no_part_of_a_name():
    make.make_job(name="Dexter Mossop", phone="")
    meant = make.make_job(name="Bran Okeley", phone="01632 960 777 ext 12")
    assert found("960 777 ext 12") == [meant.number]


def test_the_number_on_the_unit_finds_its_jobs_whatever_its_spacing(job):
    result = look("kv-4081b")
    assert [hit.number for hit in result.hits] == [job.number]
    assert "customer read" in result.hits[0].reason


def test_several_jobs_are_listed_each_with_its_reason(job):
    other = make.make_job(name="Ada Second")
    result = look("Ada")
    assert result.outcome is ScanOutcome.SEVERAL
    assert {hit.number for hit in result.hits} == {job.number, other.number}
    assert all(hit.reason for hit in result.hits)


def test_more_jobs_than_are_shown_are_told_with_their_whole_count(job, monkeypatch):
    monkeypatch.setattr("jobs.selectors.scan.HITS_MOST", 2)
    make.make_job(name="Ada Second")
    assert look("Ada").sentence == "2 jobs answer to “Ada”."
    make.make_job(name="Ada Third")
    result = look("Ada")
    assert len(result.hits) == 2
    assert "The 2 newest of 3 stand here" in result.sentence


def test_nothing_found_prefills_the_record_of_a_box():
    make.open_shop()
    assert look("JD014600006281230704").parcel_number == "JD014600006281230704"
    assert look("QX77").unit_number == "QX77"
    assert look("Mrs Nobody").sender == "Mrs Nobody"


def test_control_signs_of_the_scanner_are_dropped():
    assert clean("\x02 482\t1095\r\n") == "482 1095"


def test_a_scan_with_wild_signs_is_just_not_found():
    make.open_shop()
    assert look("%_\\'\";--").hits == ()
    assert look("x" * 5000).hits == ()


@pytest.mark.parametrize("zero", ["０", "٠", "०"])
def test_a_job_number_in_digits_of_another_script_is_read(job, zero):
    number = "".join(chr(ord(zero) + int(digit)) for digit in job.number)
    assert found(number) == [job.number]


@pytest.mark.parametrize("typed", ["١٢٣٤٥٦٧", "①②③④⑤⑥⑦", "²²²²²²²", "᧚᧚᧚᧚᧚᧚᧚", "᧚᧚᧚᧚᧚᧚"])
def test_digits_that_are_no_job_number_are_refused_in_words(typed, tobin):
    make.open_shop()
    response = tobin.get("/workshop/", {"q": typed})
    assert response.status_code == 200
    assert look(typed).sentence


def test_a_scan_changes_nothing_and_one_hit_opens_its_page(job, tobin):
    before = (JobEvent.objects.count(), list(Job.objects.values_list("stage", "event_count")))
    response = tobin.get("/workshop/", {"q": job.number})
    assert response["Location"] == f"/workshop/jobs/{job.number}/?scanned=1"
    assert tobin.get(response["Location"]).status_code == 200
    assert (JobEvent.objects.count(), list(Job.objects.values_list("stage", "event_count"))) == before


@pytest.mark.parametrize("letter", ["W", "w"])
def test_the_address_on_the_slip_leads_to_the_job(job, tobin, letter):
    assert tobin.get(f"/{letter}/{job.number}")["Location"].startswith(f"/workshop/jobs/{job.number}/")


def test_the_address_of_no_job_leads_to_the_counter_with_what_was_read(tobin):
    make.open_shop()
    response = tobin.get("/W/4821095", follow=True)
    assert response.redirect_chain[0][0] == "/workshop/?q=4821095"
    assert "no job of this shop" in response.content.decode()


def test_a_stranger_with_the_slip_is_sent_to_sign_in(client, job):
    assert client.get(f"/W/{job.number}")["Location"].startswith("/account/sign-in/")


def test_htmx_is_told_to_open_the_whole_page(job, tobin):
    response = tobin.get("/workshop/", {"q": job.number}, headers={"HX-Request": "true"})
    assert response["HX-Redirect"].startswith(f"/workshop/jobs/{job.number}/")


def test_awaited_bookings_fit_by_number_else_by_family(job):
    make.make_job(stage="arrived", name="Not Awaited")
    for text, signs in (("KV4081B", BoxSigns(family="sender")), ("", BoxSigns(family="carburettor"))):
        assert [hit.number for hit in find_awaited(text, box=signs, now=NOW)] == [job.number]


def test_an_awaited_booking_is_found_by_a_name_that_is_nearly_right():
    make.make_job(stage="posted", name="Ada Thornby")
    meant = make.make_job(stage="posted", name="Harriet Mossop")
    hits = find_awaited("", box=BoxSigns(words="H. Mosop", family="carburettor"), now=NOW)
    assert hits[0].number == meant.number
    assert "nearly the same name, Harriet Mossop" in f"n{hits[0].reason[1:]}"


def test_each_awaited_booking_says_why_and_the_posted_one_stands_first():
    booked = make.make_job(stage="booked", name="Ada One")
    posted = make.make_job(stage="posted", name="Ada Two")
    cleared = make.make_job(stage="cleared", name="Ada Three")
    hits = find_awaited("", box=BoxSigns(number="KV4081B", family="carburettor"), now=NOW)
    assert [hit.number for hit in hits] == [posted.number, cleared.number, booked.number]
    assert "posted" in hits[0].reason
    assert "not posted yet" in hits[1].reason


def test_a_scanned_number_lists_the_jobs_booked_under_another_number_of_the_model():
    by_casting = make.make_job(name="Ada Casting", number_as_read="KV4081B")
    numbers = [each.text for each in catalogue.catalogue().unit_models[make.MODEL].numbers]
    tag = next(each for each in numbers if normalise(each).compact != "KV4081B")
    by_tag = make.make_job(name="Ada Tag", number_as_read=tag, unit_model=make.MODEL)
    result = look("KV4081B")
    assert result.outcome is ScanOutcome.SEVERAL
    assert {hit.number for hit in result.hits} == {by_casting.number, by_tag.number}
    assert "is a number of" in next(hit.reason for hit in result.hits if hit.number == by_tag.number)


def test_a_scan_costs_the_same_with_three_hits_and_with_thirty(django_assert_max_num_queries):
    for at in range(12):
        make.make_job(name=f"Ada Many {at}", number_as_read=f"ZZ{at:04d}")
    with django_assert_max_num_queries(4):
        assert len(look("Ada Many").hits) == 12
