"""What stands above the columns of the tables of the stash, in the order in which they are shown."""

CHARTS = {"piece": "chart", "needs": "needs", "fabric": "best fabric", "size": "size there", "hours": "hours"}
TIMES = {"piece": "chart", "stitches": "stitches", "hours": "hours", "hours_low": "from", "hours_high": "to"}
TIMES |= {"as_things_go": "as things go", "if_first": "if it came first", "pushes_back": "pushes the others back"}
WAITED = {"piece": "chart", "bought": "bought", "waited": "waited", "cost": "cost"}
SHARING = {"fabric": "fabric", "piece": "chart", "count": "count", "over": "over", "width_cm": "width, cm"}
SHARING |= {"height_cm": "height, cm", "pinned": "your choice"}
TO_GET = {"piece": "chart", "count": "count", "over": "over", "cut_width_cm": "buy, cm", "cut_height_cm": "by"}
TO_GET |= {"would_fit_on": "or on the size of", "at_count": "at count", "at_over": "over"}
TWICE = {"group": "group", "what": "what", "code": "colour", "name": "name", "hex": "on screen, roughly"}
TWICE |= {"apart": "difference", "on_hand": "skeins on hand"}
MOVES = {"month": "month", "what": "what", "came_in": "came in", "went_out": "went out", "cost": "cost"}
FITS = {"fabric": "fabric", "count": "count", "over": "over", "width_cm": "width, cm", "height_cm": "height, cm"}
FITS |= {"turned": "turned", "spare_cm": "to spare, cm", "hidden": "colours that hide"}
