"""Which songs do beginners play beside those of charts/?

Invented for this: some with a pattern and some without, in four and in three.
"""

OWN_CHARTS = {
    "paper_boat": """title: Paper Boat
key: C major
meter: 4/4
tempo: 88

[Verse 1]
| C | Am | F | G |
  Fold it in half and then fold it again
| C | Am | Dm | G |
  the gutter's a river whenever there's rain
[Chorus]
| F | G | C | Am |
  Sail, little paper boat, sail to the sea
| F | G | C | C |
  and post me a puddle from where you will be
[Verse 2]
| C | Am | F | G |
  The mast is a matchstick, the flag is a leaf
| C | Am | Dm | G |
  the captain's a button of great self-belief
[Chorus]
| C | x2
""",
    "mill_wheel": """title: Mill Wheel
key: A minor
meter: 4/4
tempo: 100

pattern turn
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . . x x |

[Verse 1]
| Am | Dm | E | Am |
  Round goes the wheel and the water goes under
| F | C | E7 | Am |
  nobody asks it and nobody wonders
[Refrain]
| Dm | Am | E7 | Am |
  Turn, turn, turn as you may
| F | G | C | E |
  the flour of tomorrow was wheat yesterday
[Verse 2]
| Am | Dm | E | Am |
  Round goes the stone with its mouthful of summer
| F | C | E7 | Am |
  deaf as a post and as grave as a drummer
[Refrain]
| Am | x2
""",
    "quarry_road": """title: Quarry Road
key: G major
meter: 4/4
tempo: 92

pattern amble
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . 5 . . . |
  right | . . x . x . x . |

[Intro]
| G | D/F# | Em | D |

[Verse 1]
| G | D/F# | Em | C |
  Carts have been here since the top of the hill was a town
| G/B | Am | D | D7 |
  somebody carries it, shovel by shovel, on down
| G | D/F# | Em | C |
  Dust on the bramble and dust on the sleeve of my coat
| Am | D7 | G | G |
  all that the quarry has left me to sing is a note

[Chorus]
| C | G/B | Am | G |
  Long is the road with a stone in your shoe
| C | D/C | G/B | D |
  longer the road if the stone is you

[Verse 2]
| G | D/F# | Em | C |
  Half of the hill is a church and the rest is a wall
| G/B | Am | D | D7 |
  none of it asked to be anything other than tall
| G | D/F# | Em | C |
  Leave me a pebble to rattle about in a tin
| Am | D7 | G | G |
  that is as much of the hill as I ever let in

[Chorus]

[Ending]
| Am | D7 | C | G |
""",
    "linen_day": """title: Linen Day
key: F major
meter: 3/4
tempo: 112

pattern peg
  count | 1 2 3 |
  left  | x . . |
  right | . x x |

[Verse 1]
| F | Dm | Bb | C7 |
  Sheets on the line have the shape of the breeze
| F | Am | Gm | C7 |
  pillows go sailing as far as the trees
[Chorus]
| Bb | F | Gm | C7 |
  Fold it in four and then fold it in eight
| Bb | F/A | C7 | F |
  nothing is dry and the dinner is late
[Verse 2]
| F | Dm | Bb | C7 |
  Shirts wave goodbye with their cuffs in the air
| F | Am | Gm | C7 |
  one sock is lonely, the other's not there
[Chorus]
""",
}
