"""Printing: counted, dated, told; refused by name, and then nothing is counted."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections

from shop.jobs import clock
from shop.jobs.models import History
from shop.requests.models import Paper, Revision
from shop.tickets import services
from shop.tickets.models import Print
from shop.work.models import Record
from shop.work.services import piece_remake, revision_release
from tests.requests import world as worlds
from tests.requests.world import refused
from tests.tickets.reading import Pages
from tests.work.floor import Floor, later, standing


def ticket(release, by, **more):
    return services.print_ticket(release=release, actor=by, **more)


def labels(pieces, by, **more):
    return services.print_labels(pieces=pieces, actor=by, **more)


def test_each_print_of_a_ticket_has_the_next_number_and_its_day(floor, world):
    release = floor.release()
    with clock.at(later(5)):
        sheets = [ticket(release, world.hand) for _ in range(2)]
    assert [sheet.prints[0].number for sheet in sheets] == [1, 2]
    assert sheets[0].prints[0].asked_at == later(5) and sheets[0].prints[0].asked_by == world.hand
    assert "print 2" in Pages(sheets[1].pdf).text()


def test_numbers_run_for_each_release_by_itself(floor, world):
    ticket(floor.release("S-04"), world.hand)
    assert ticket(floor.release("S-05"), world.hand).prints[0].number == 1


def test_a_print_is_told_in_the_history(floor, world):
    release = floor.release()
    ticket(release, world.hand)
    row = History.objects.get(action="ticket.print")
    assert (row.subject_id, row.person, row.job, row.data["number"]) == (release.pk, world.hand, world.job, 1)


def test_a_ticket_is_printed_in_few_queries_however_many_copies(floor, world, django_assert_num_queries):
    few, many = floor.release("S-04", quantity=2), floor.release("S-05", quantity=30)
    counts = []
    for release in (few, many):
        with django_assert_num_queries(9, exact=False) as found:
            ticket(release, world.hand)
        counts.append(len(found.captured_queries))
    assert counts[0] == counts[1]


def test_the_file_says_what_it_is(floor, world):
    assert ticket(floor.release(), world.hand).name == "S-04 ticket, print 1.pdf"


@pytest.mark.parametrize(("stock", "width"), [("letter", 612), ("a4", 595.28)])
def test_the_page_is_the_one_asked_for(floor, world, stock, width):
    sheet = ticket(floor.release(), world.hand, stock=stock)
    assert Pages(sheet.pdf).pages[0].width == pytest.approx(width, abs=0.01)


def test_an_unknown_stock_is_refused_and_not_counted(floor, world):
    with refused("no_such_stock"):
        ticket(floor.release(), world.hand, stock="papyrus")
    assert not Print.objects.exists()


def test_what_can_t_be_drawn_is_not_counted(floor, world):
    release = floor.release(title="東")
    with refused("missing_glyph"):
        ticket(release, world.hand)
    assert not Print.objects.exists() and not History.objects.filter(action="ticket.print").exists()


def test_a_replaced_release_s_ticket_is_dead(floor, world):
    release = floor.release()
    other = worlds.profile(name="Bench bender")
    again = revision_release(revision=release.revision, actor=world.lead, profile=other)
    with refused("dead_ticket"):
        ticket(release, world.hand)
    assert "RE-TICKET" in Pages(ticket(again, world.hand).pdf).text()


def test_the_ticket_of_an_old_revision_is_dead(floor, world):
    release = floor.release()
    floor.revise(release.revision.run)
    with refused("dead_ticket"):
        ticket(release, world.hand)


def test_nothing_is_printed_of_a_revision_on_hold(floor, world):
    release = floor.release()
    Revision.objects.filter(pk=release.revision_id).update(state=Paper.HELD)
    with refused("held"):
        ticket(release, world.hand)


def test_a_remade_piece_has_a_ticket_of_its_own(floor, world):
    release = floor.release(quantity=3)
    child = piece_remake(piece=floor.piece(), actor=world.lead, reason="kinked")
    sheet = ticket(release, world.hand, piece=child)
    text = Pages(sheet.pdf).text()
    assert "REMAKE R1" in text and "QTY 1" in text and sheet.name == "S-04 R1 ticket, print 1.pdf"


def test_a_remake_with_other_dimensions_is_told_on_its_own_release(floor, world):
    floor.release()
    changed = worlds.stub(up="20 1/2")
    child = piece_remake(piece=floor.piece(), actor=world.lead, reason="measured wrong", document=changed)
    text = Pages(ticket(child.release, world.hand).pdf).text()
    assert "REMAKE R1" in text and "RE-TICKET" not in text and "stub 20 1/2" in text.replace("\n", " ")


def test_a_piece_of_another_release_is_refused(floor, world):
    release = floor.release("S-04")
    floor.release("S-05")
    with refused("other_release"):
        ticket(release, world.hand, piece=floor.piece("S-05"))


def test_a_release_s_labels_come_in_bending_order_one_a_page(floor, world):
    release = floor.release(quantity=3)
    sheet = labels(services.release_pieces(release), world.hand)
    pages = Pages(sheet.pdf)
    copies = [" ".join(pages.text(number).split()) for number in range(3)]
    assert len(pages.pages) == 3 and all(f"copy {n} of 3" in text for n, text in enumerate(copies, 1))
    assert [row.number for row in sheet.prints] == [1, 1, 1]


def test_the_label_s_code_is_the_piece_s(floor, world):
    floor.release()
    piece = floor.piece()
    found = Pages(labels([piece], world.hand).pdf).codes()
    assert len(found) == 2 and all(text.endswith(f"/Q/{piece.code}") for text in found)


def test_thin_conduit_gets_a_flag_label_by_itself(floor, world):
    floor.release(document=worlds.stub(size="1/2"))
    assert labels([floor.piece()], world.hand).prints[0].stock == "flag-3x1"


def test_a_reprint_is_counted_and_the_first_one_still_resolves(floor, world):
    floor.release()
    piece = floor.piece()
    codes = [Pages(labels([piece], world.hand).pdf).codes()[0] for _ in range(2)]
    assert codes[0] == codes[1] and standing(piece).code in codes[0]
    assert [row.number for row in Print.objects.order_by("pk")] == [1, 2]


def test_a_label_printed_before_bending_says_nothing_of_being_on(floor, world):
    floor.release()
    labels([floor.piece()], world.hand)
    assert standing(floor.piece()).step == "released"
    assert Record.objects.get(verb="print").fields == {"how": "batch"}


def test_a_first_label_at_the_finish_is_the_one_that_is_on(floor, world):
    floor.release()
    floor.say(floor.piece(), "bend", place=world.rack)
    with clock.at(later(30)):
        labels([floor.piece()], world.hand)
    assert standing(floor.piece()).step == "labelled"


def test_a_second_label_is_a_reprint(floor, world):
    floor.release()
    for _ in range(2):
        labels([floor.piece()], world.hand)
    assert [record.fields["how"] for record in Record.objects.filter(verb="print").order_by("pk")] == [
        "batch",
        "reprint",
    ]


def test_no_label_is_counted_if_one_can_t_be_drawn(floor, world):
    release = floor.release(quantity=2, document=worlds.stub(end={"to": "東"}))
    before = Record.objects.count()
    with refused("missing_glyph"):
        labels(services.release_pieces(release), world.hand)
    assert not Print.objects.exists() and Record.objects.count() == before


def test_no_piece_has_no_label(world):
    with refused("nothing_to_print"):
        labels([], world.hand)


def test_labels_are_printed_in_as_many_queries_for_forty_pieces_as_for_four(
    floor, world, django_assert_max_num_queries
):
    counts = []
    for tag, quantity in (("S-04", 4), ("S-05", 40)):
        pieces = services.release_pieces(floor.release(tag, quantity=quantity))
        with django_assert_max_num_queries(40) as found:
            labels(pieces, world.hand)
        counts.append(len(found.captured_queries))
    assert counts[0] == counts[1]


def test_a_sign_is_counted_and_told(world):
    sheet = services.print_sign(place=world.hoist, actor=world.driver)
    again = services.print_sign(place=world.hoist, actor=world.driver, stock="a4")
    assert [sheet.prints[0].number, again.prints[0].number] == [1, 2]
    assert sheet.name == "Sign Hoist, print 1.pdf" and History.objects.filter(action="place.print").count() == 2
    assert world.hoist.code in Pages(sheet.pdf).codes(dpi=110)[0]


@pytest.mark.django_db(transaction=True)
def test_two_hands_at_once_never_get_one_number(transactional_db):
    with clock.at(worlds.NOON):
        world = worlds.make()
        release = Floor(world).release()

    def print_one(_):
        try:
            return services.print_ticket(release=release, actor=world.hand).prints[0].number
        finally:
            connections.close_all()

    with ThreadPoolExecutor(4) as hands:
        assert sorted(hands.map(print_one, range(4))) == [1, 2, 3, 4]
