"""Reference page "Bollard Forces": one turn at 0.5; half a turn at 0.4 on 500 N."""

from math import pi

from tests.published.capstan import ratio
from tests.published.printed import Printed

SHARE_OF_ONE_TURN, HALF_TURN_N = 0.043, 142
PRINTED = Printed(
    source='"Bollard Forces", engineeringtoolbox.com/bollard-force-d_1296.html',
    computed={"share of the load": [SHARE_OF_ONE_TURN], "force [N]": [HALF_TURN_N]},
)


def test_one_turn_round_a_bollard():
    assert round(1.0 / ratio(0.5, 2 * pi), 3) == SHARE_OF_ONE_TURN


def test_ship_held_by_half_a_turn():
    assert round(500.0 / ratio(0.4, pi)) == HALF_TURN_N
