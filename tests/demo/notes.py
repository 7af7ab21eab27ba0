"""What the invented stitcher jots down: notes for any piece, and notes for one piece only. Each is used once."""

from __future__ import annotations

ANY = """
Rain on the skylight, tea gone cold beside me.
One more length, I said, four times.
Counted the same row three times and got three answers.
Quiet evening. Good light until nine.
Found the missing needle. In the sofa, of course.
Radio play and a long row. Bliss.
Hands a bit stiff, stopped early.
The cat sat on the chart.
Stitched on the train, two stations too far.
New lamp. Why did I wait.
Only half an hour, but it counts.
Thread kept knotting tonight.
Gridded the next block first, feeling virtuous.
Parked six threads and felt very organised.
Miscounted by one. Left it. Nobody will know but me.
Video call with my sister, stitched all through it.
Slow and happy.
Two threads left in the orts jar were the right colour. Saved!
Windy night, candles, no telly.
Needed this after today.
Sunday light at the kitchen table.
Lost count at 47. Started the row again.
Shoulders complained; put the stand up higher.
Just tidying the back.
A whole block done before supper.
Stitched in the garden until the midges came.
Too tired to count, did a plain bit.
Finished the row on purpose, went to bed on time. Mostly.
Cricket on the radio, not one mistake.
Waiting room stitching. They called me too soon.
Dropped the hoop, lost nothing.
Swapped to a fresh needle, what a difference.
Listened to the last chapter twice because I kept stopping to count.
The neighbours' boy asked if it is pixels. Yes.
Bread proving, needle going.
Ran out of the good scissors' patience.
Early morning, before anyone was up.
Scarf weather. Blanket, lamp, hoop.
Did the dull corner so that tomorrow is the fun part.
Eyes tired, only the big blocks.
Thunder! Stopped to watch.
Good company tonight, more talk than stitches.
Rewound a bobbin, found a colour I thought I had lost.
The kettle switched itself off twice.
Needle slipped under the sofa, so did I.
Long phone call, long row.
Snow all afternoon.
No plan, just picked up what was nearest.
Broke for a walk half way, came back with warm hands.
Could have gone on all night. Did not.
""".strip().split("\n")

OF = {
    "Harbour at First Light": """
Another page corner. The water goes on for ever.
Counter says what it says; I only believe the counter.
Eleven blues in one block. Daylight only.
The first mast has a top!
Confetti, confetti, confetti.
Under the horizon on every page now. Small dance.
The water is more fun than the sky was.
Ten stitches of lantern yellow in all that blue, worth every one.
Pinned the next page up. It looks exactly like this page.
A hundred a night, the harbour will come.
Finished the block with the gull in it.
Held it up by the window: you can see the sun now.
Moved the frame bars down, a little ceremony.
The quay begins! Something that is not blue!
""",
    "Otter Creek": """
Otter has a nose now.
All browns look the same after eight. Stop.
The whiskers are half stitches. Patience.
River rows, over two, my favourite kind of evening.
He is looking at me.
Reeds on the left bank finished.
Mixed up otter and hazel for a whole row. Unpicked.
The water really moves when you squint.
Tail!
One paw out of the water.
Bottom bank is all reeds and no mercy.
Took it to the stitching table at the library, got compliments.
Ripples: restful.
Sky corner done, that was the dull bit.
""",
    "Salt Wind Sampler": """
The letter S done at last.
Border meets itself! To the very thread!
Gulls are seven stitches each. Love a gull.
Off by one in the border. Slept on it. Unpicked it.
Blue on blue-grey, soft as fog.
Last row of waves. I may cry.
""",
    "Three Pears": """
A quick one for Nan's kitchen wall.
First pear, and it looks like a pear.
Leaves done in one sitting.
The middle pear is the handsome one.
Finished! Washed and ironed, it smells of soap.
""",
    "Bramble Hare": """
One ear up, one ear down.
Brambles are fiddly and I adore them.
Quarter stitches round the eye, with coffee.
The hare has been waiting very politely.
Knots for the berries tonight, sore thumb tomorrow.
""",
    "Kingfisher Bookmark": """
Handbag stitching. The bright blue is a tonic.
Beak!
Tiny holes, bright lamp.
Done, and already in a book.
""",
    "Moth and Moon": """
Dark cloth, white towel on my lap underneath. It works.
Daylight only for this one.
Left wing matches right wing. Checked twice.
The moon is a treat after all that brown.
Beads on the antennae, dropped two, found one.
Two strands barely cover; going slowly and keeping them flat.
Could not find the holes after four o'clock.
Finished at midnight, which seems right.
""",
    "Fern Alphabet": """
Over one on 28. What was I thinking.
A, B, C. So neat, so small.
""",
    "Small Hours Owl": """
Owl eyes first, so that he can watch.
Feathers in rows, very soothing.
Stars are single stitches; sprinkled them in.
Nearly, nearly.
Finished. He goes into the post tomorrow and I miss him already.
""",
    "Snail Mail": """
New Leaf week one: a snail with a letter.
Shell spiral done, silly grin on my face.
Finished and made up as a card.
""",
    "Lemon Grove": """
New Leaf week two, lemons against the grey.
Sunny side of the table for the lemons.
Holiday stitching, did not count, did not care.
Ironing first: the fold line would not leave.
""",
    "Beetle Cabinet": """
New Leaf week three. Forty count over one. Send help.
One beetle, an hour. He is the size of my thumbnail.
Magnifier on, world off.
Shiny green beetle, drawer two.
""",
    "Teapot Weather": """
New Leaf week four, with the kettle on, naturally.
Steam turns into cloud just there. Clever chart.
Handle done.
Raining out of the spout now.
Finish in sight, put everything else down.
Last knot. Put the kettle on to celebrate.
""",
    "Marsh Heron": """
The heron has one leg. That is correct.
Reflections, upside down and just as slow.
Long grey rows like the marsh itself.
Eye in: he is suspicious of me.
Reeds again. I seem to like reeds.
""",
    "Allotment Patchwork": """
Square four, the lettuces.
Plain squares are for talking evenings.
The rhubarb square came out exactly rhubarb.
Did the marrow bed in one go.
Took it camping.
""",
    "Winter Fox": """
Section one opened, ironed the cloth, found the middle.
Orange on that blue! Oh!
Behind, but the fox does not mind.
Snow is only two whites and a lot of sitting.
Ears done.
Caught up with section two at last.
Tail tip. White as anything on the dark.
White pencil for the grid, washed out fine on a scrap.
Trees next; the greens sink into the cloth by lamplight.
Other people are on section five. I am where I am.
""",
    "Rowan Border": """
One length. Done. Bed.
One length, with the news off.
One length in the car park.
Two lengths, because the leaf wanted finishing.
First corner of the border, a small nod to myself.
Missed yesterday. One length, no guilt.
Red, red, red. Very calm.
Length a day, day something.
""",
    "Plum Jam Label": """
Started the gift shelf. Jam for the whole lane this year.
The P is done, which leaves L, U and M.
""",
}
FOR_PIECE = {piece: lines.strip().split("\n") for piece, lines in OF.items()}
ILL = "Sat up long enough for one thread. Flu is dull."
BACK = "Back on the sofa with a hoop. Hello, thread."
MOVED = "Found the hoops in the last box. House: done. Me: done."
PUT_BY = {
    "Bramble Hare": "Fell out of love with the fur. Into the basket for a while.",
    "Fern Alphabet": "Pretty, but my eyes. Putting it by until spring.",
}
PICKED_UP_AGAIN = {"Bramble Hare": "Out of the basket again! It was never the hare's fault."}
