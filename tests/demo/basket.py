"""The thread basket and the settings of the demo. A colour's code is its family's letter and a number of our own."""

from __future__ import annotations

# code, name, hex, skeins on hand
COLOURS = """
B03 first frost #DCE8F0 2
B07 milk sky #B9D3E6 3
B10 washed denim #8FB0CC 1
B12 kingfisher #2E8FB8 2
B14 deep channel #1F5D86 2
B18 midnight ferry #1B2F52 1
B21 slate roof #53697D 2
B24 ink pot #16203A 1
B27 harebell #7C97D1 1
B30 cold harbour #3F7796 1
G02 new willow #C9D98B 1
G05 lime peel #A3BF4B 1
G09 duckweed #6F9E46 3
G11 fern #4C7F3F 2
G15 holly #2C5A3A 2
G18 yew #1D3B2C 1
G22 river mint #9CCDB4 1
G25 bottle glass #2F7F6D 2
G28 lichen #B4B98A 2
G31 olive crate #757B3A 1
G34 reed bed #93934F 1
R04 rosehip #D8412F 1
R08 rowan berry #B8252B 2
R12 old brick #8F3A2E 1
R15 plum jam #5E1F33 1
R19 foxglove #C95C8C 0
R22 shell pink #F1C6C3 2
R26 rhubarb #DE7F84 1
R30 paper rose #E9A9A0 1
Y03 butter paper #F7E8B0 2
Y06 lemon rind #F2CF3B 1
Y10 lantern #F0A92B 1
Y13 honey jar #CF8A1E 1
Y16 straw hat #DDBB74 2
Y19 first light #FBDDA0 1
O02 apricot #F3B187 2
O05 fox #D06A24 2
O08 rust hinge #A54A1B 1
O11 ember #E6562A 0.5
O14 peach skin #F7CDA6 1
V04 lilac smoke #C7B6D8 1
V08 thistle #8E6BAF 1
V12 bramble #4F2C5E 1
V15 dusk #6D6A93 2
V18 sloe #2E2240 1
V21 heather tea #A98FB5 0.5
E03 oat #E3D3B4 2
E06 rope #C2A578 2
E09 otter #7A5435 2
E12 peat #4A3223 1
E15 bark #5F4A3A 1
E18 wet sand #A88B68 1
E21 hazel #94653A 1
E24 walnut #38261C 0
E27 toast #B98A5A 1
N01 salt #FBFAF5 4
N04 fog #DADCDA 2
N07 pewter #A3A8AB 1
N10 rain #73797F 1
N13 charcoal #3B4045 2
N16 lamp black #17181A 1
N19 moth wing #C9BFB0 1
N22 candle wax #F3EBDA 1
N25 ash #8C8780 0.5
"""

SETTINGS = """\
# Settings of this diary. Any line may be left out; the usual value then holds.

date_order = "iso"          # how other dates are written: "iso" (year-month-day only), "day-first" or "month-first"
week_start = "monday"

strand_length_cm = 45       # one length of thread, as cut
skein_length_m = 8
skein_strands = 6
tail_cm = 4                 # lost at each end of a length
method = "row"              # "row": half crosses out, crossed coming back; "each": every cross finished before the next
waste = 0.10                # thread lost to knots, trials and fraying, as a share
"""
