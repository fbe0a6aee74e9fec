"""What an advert says is not with the machine, in whatever words: gone, kept, lent, never there."""

from __future__ import annotations

from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def states(sentence: str) -> dict[str, str]:
    text = f"12 x 36 lathe for sale, runs well. {sentence} Cash on collection."
    return {piece.kind: piece.state for piece in reader().read_advert(text).pieces}


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        # it went, or was made to go
        ("follow-rest", "The follow rest walked years ago."),
        ("follow-rest", "The follow rest must have gone to the dump."),
        ("steady-rest", "Steady rest went for scrap."),
        ("chuck-4-jaw", "The four jaw was parted out."),
        ("change-gears", "The change gears were left behind at the old shop."),
        ("change-gears", "Change gears? Gone."),
        ("coolant-pump", "Coolant pump was pulled by a previous owner."),
        ("splash-guard", "The splash guard got binned."),
        ("boring-head", "The boring head has found a new home."),
        ("drill-chuck", "Drill chuck has been repurposed."),
        # told right after it
        ("chuck-4-jaw", "I also have an 8 inch four jaw that I will keep."),
        ("rotary-table", "A rotary table which he's keeping for his mill."),
        ("milling-vise", "The vise my brother has."),
        ("steady-rest", "The steady I am holding on to, sorry."),
        ("reamers", "A friend has had the reamers since Easter and is not minded to return them."),
        ("manual", "I would like to find a steady rest for it, and a manual."),
        # further ways
        ("thread-dial", "Wanted a steady rest for a Corden 11 inch, and a thread dial."),
        ("belts", "Complete apart from the tailstock centre and a belt."),
        ("toolpost-quick-change", "Planning on a quick change tool post next."),
        ("chuck-key", "The key for the chucks is lost."),
        ("chuck-key", "Key for the three jaw was stolen."),
        ("faceplate", "If anybody has a faceplate 1-1/2 x 8 let me know."),
        ("milling-attachment", "The only thing I would like to have is the milling attachment."),
        ("collets-5c", "The mill is gone and so are all the chucks and 5C collets."),
        ("dividing-head", "It does not come with a rotary table or dividing head."),
        ("chuck-3-jaw", "Would also be interested in a 3 jaw."),
        ("readout", "What's included: vise. What's not: the readout."),
        ("follow-rest", "I wish it had come with the follow rest."),
        ("steady-rest", "The four jaw was stolen along with the steady."),
        ("collets-5c", "5C collets - 0."),
        ("rotary-table", "My son has dibs on the rotary table."),
        ("milling-vise", "The vise that's on it now has been promised to a friend."),
        ("chuck-3-jaw", "Todo: three jaw chuck."),
        ("milling-vise", "The vise isn't part of the sale."),
        ("clamping-kit", "Clamp kit you'll have to supply."),
        ("milling-arbor", "What I haven't got any more is the horizontal arbor."),
        ("cutters-mixed", "Taps not with it, cutters neither."),
        ("drill-chuck", "What I want for it is a drill chuck."),
        ("taper-attachment", "I had hopes of a taper attachment."),
        # another has it
        ("milling-vise", "The milling vise is promised to my nephew."),
        ("milling-vise", "My nephew has claimed the milling vise."),
        ("mandrel", "My brother ended up with the mandrels."),
        ("toolpost-quick-change", "The quick change tool post belongs to a friend."),
        ("steady-rest", "A previous owner hung onto the steady rest."),
        ("steady-rest", "Somebody made off with the steady rest."),
        # he keeps it
        ("tailstock-turret", "I've held back the tailstock turret."),
        ("readout", "I pulled the DRO for my next machine."),
        ("toolpost-quick-change", "I moved the QCTP over to my new lathe."),
        ("milling-vise", "The milling vise leaves with me."),
        ("rotary-table", "The rotary table is negotiable separately."),
        ("milling-attachment", "Milling attachment can be had for another 200."),
        # it never was there, or is not now
        ("follow-rest", "He never could find the follow rest."),
        ("drive-plate", "The seller could not produce the drive plate."),
        ("change-gears", "Not a single change gear came with it."),
        ("chuck-4-jaw", "It ought to have a 4 jaw chuck but does not."),
        ("power-feed", "There is no longer a power feed."),
        ("manual", "Manual not among the papers."),
        ("drive-plate", "Drive plate unaccounted for."),
        ("stand", "I am not selling the stand."),
        ("dial-indicator", "Dial indicator not part of this."),
        ("toolpost-quick-change", "The QCTP seen in photo 3 won't be included."),
        ("collet-adapter", "The 5C closer has been lent to the college."),
        ("manual", "Manual? Never had one."),
        ("rotary-table", "Rotary table: sale agreed."),
        ("readout", "I will be taking the DRO."),
        ("follow-rest", "I never saw a follow rest."),
        ("drill-chuck", "Drill chuck to be supplied by buyer."),
        ("chuck-4-jaw", "The 4 jaw chuck stayed on the old lathe."),
        ("rotary-table", "I have a buyer for the rotary table already."),
        ("readout", "DRO was stripped from it."),
        ("collets-5c", "5C collets pending sale to another member."),
        ("follow-rest", "Follow rest? Not that I have seen."),
        ("drive-plate", "There was never a drive plate."),
        ("mandrel", "The mandrels grew legs at the last open day."),
        ("mandrel", "Out on loan to the youth workshop: mandrels, dial indicator."),
        ("dial-indicator", "Out on loan to the youth workshop: mandrels, dial indicator."),
        ("boring-head", "Boring head can be talked about but isn't in the price."),
        ("readout", "The readout comes off before the buyer collects."),
        ("tailstock-turret", "A tailstock turret was never an option for this model."),
        ("milling-attachment", "My wife would not part with the milling attachment."),
        ("lathe-dog", "The lathe dogs weren't in the crate."),
        ("collets-5c", "The 5C collets, well, I parted them out."),
        # one no after another
        ("chuck-jaws", "It has no follow rest, no soft jaws, no mandrel or drive plate."),
        ("drive-plate", "It has no follow rest, no soft jaws, no mandrel or drive plate."),
        # it is wanted
        ("centre-live", "You would need to add a live centre."),
        ("centre-live", "A live centre is all it wants."),
        ("boring-head", "A boring head would be nice to have."),
    ],
)
def test_what_is_said_not_to_be_there_is_absent_and_never_here(kind: str, sentence: str):
    assert states(sentence)[kind] == "absent"


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("clamping-kit", "Clamping kit, not all there but most."),
        ("dividing-head", "Anybody want a 6 inch dividing head? It has three plates."),
        ("faceplate", "Came with a faceplate, but those two were gone."),
        ("cutters-mixed", "Not a lot of tooling but enough to begin."),
        ("collets-r8", "Not a full set of R8 collets."),
        ("reamers", "All the reamers I could find are with it."),
        ("collets-5c", "21 R8... no sorry, 21 5C collets."),
        ("steady-rest", "Steady rest, 3 jaw, 4 jaw, faceplate, 3 axis? no, 2 axis readout."),
        (
            "toolholder-lantern",
            "Lantern tool holders, two. Still to buy: more lantern tool holders.",
        ),
        ("collets-r8", "R8 collets, missing 3/8 and 1/2."),
        ("milling-vise", "Clamping kit (todo: buy an 18mm spanner); milling vise."),
        ("manual", "The manual which I thought he had thrown out."),
        ("clamping-kit", "Clamping kit with most of the nuts gone."),
        ("chuck-3-jaw", "A chuck 3 jaw no key tho, I used a bent one."),
        ("faceplate", "I've kept a list as I went through: faceplate."),
        ("milling-vise", "Milling vise with swivel base (handle lost)."),
        ("steady-rest", "It has none of its tooling except the steady."),
        ("faceplate", "He didn't sell the faceplate."),
        ("knurling-tool", "A few things to get you started: knurling tool."),
        ("chuck-4-jaw", "All I no longer need now the lathe's sold: 8 inch four jaw."),
        ("drills", "Two drawers of twist drills, none sharp."),
        ("chuck-4-jaw", "A four jaw he kept in the drawer."),
        ("chuck-jaws", "Soft jaws I swore blind were lost, turned up in a tin."),
        ("chuck-4-jaw", "A four jaw I got with it."),
        ("chuck-4-jaw", "The 4 jaw has gone through two keys but is fine."),
        ("follow-rest", "The follow rest was lost for years but turned up."),
        ("follow-rest", "The follow rest nearly walked but I got it back."),
        ("drive-plate", "The drive plate is not lost, I found it."),
        ("drill-chuck", "Never had a problem with the drill chuck."),
        ("mandrel", "I lost count of the mandrels."),
        ("dial-indicator", "The dial indicator stays with the machine."),
        ("boring-head", "The boring head will go to the buyer."),
        ("rotary-table", "Rotary table goes to whoever buys the lathe."),
        ("coolant-pump", "Coolant pump removed but included."),
        ("chuck-3-jaw", "The 3 jaw chuck was sold to me as new."),
        ("toolpost-turret", "The turret tool post is no longer on it but comes along."),
        ("lathe-dog", "Not pictured but included: lathe dogs."),
        ("faceplate", "Not shown: faceplate."),
        ("steady-rest", "Steady rest, needs a new finger."),
        ("taper-attachment", "Taper attachment stays bolted to the back."),
        ("toolpost-quick-change", "I would not be without the quick change post."),
        ("coolant-pump", "Coolant pump left by the last owner, works."),
        ("faceplate", "Faceplate went on the nose without trouble."),
        ("toolpost-turret", "I kept the turret tool post with the machine."),
        ("mandrel", "Mandrels that belonged to my grandfather."),
        ("boring-head", "Boring head went for service last year."),
        ("readout", "DRO was added by the last owner."),
        ("rotary-table", "Rotary table I picked up at an auction."),
        ("taper-attachment", "You will not find a better taper attachment."),
        ("collets-5c", "5C collets, not a full set."),
        ("power-feed", "Power feed was taken apart and cleaned."),
        ("manual", "Manual, no cover."),
        ("steady-rest", "Got the steady rest back from a friend."),
        # what is told of another machine, of a place, of a part
        ("chuck-6-jaw", "A 6 jaw chuck for the mill I scrapped in spring, micrometer, V blocks."),
        ("micrometer", "A 6 jaw chuck for the mill I scrapped in spring, micrometer, V blocks."),
        ("mandrel", "Having just sold the mill, I offer: mandrels, angle plate."),
        ("angle-plate", "Follow rest sold, angle plate 30, mandrel 10."),
        ("mandrel", "I keep the mandrels and a lathe dog under the bench."),
        ("parallels", "Parallels, boxed, one pair missing."),
        ("drive-plate", "In case anyone is after a bargain: drive plate, mandrel."),
    ],
)
def test_a_denial_of_something_else_leaves_the_thing_here(kind: str, sentence: str):
    assert states(sentence)[kind] == "here"


def test_a_taper_denied_to_a_spindle_denies_no_collets():
    assert "collets-r8" not in states("The spindle is NT30, so no R8 here.")


def test_what_is_not_there_lacks_no_parts():
    text = "Lathe. No steady rest, no soft jaws."
    pieces = {piece.kind: piece for piece in reader().read_advert(text).pieces}
    assert pieces["steady-rest"].state == "absent"
    assert pieces["steady-rest"].parts_missing == ()
