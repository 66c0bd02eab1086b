"""The spec that `stringline new` writes: a small valid job, explained line by line."""

from __future__ import annotations

_STARTER = """\
# A job spec: what was measured on site, and what the guard is to be. Change it line by line, then
#   stringline check THIS-FILE      shows the layout and what is wrong with it
#   stringline build THIS-FILE      writes model, drawings and lists
#
# Lengths are text with a unit: 24', 24' 3-1/2", 47 3/8 in, 4 ft 7-1/8 in, 1440 mm, 1.44 m.
# A bare number is in job.units. Angles are degrees, forces 200 lbf or 890 N.
# Only job, system and runs must be there. What is left out has the default that the schema tells;
# without max_cable_span there are no spacers; what is measured of legs and stairs has no default.
# Lines such as   # stock:   show what else can be said; `stringline schema job` lists every key.

job:
  title: My deck                # what the job is called
  number: ""                    # your number for it, or nothing
  rules: irc-2021               # the limits to check against; `stringline catalog` lists rule sets
  units: in                     # in, ft, mm, cm or m; in and ft show feet and inches

# Where the town amends the code, the limit that holds in its place, and why:
# amendments: [{limit: guard.height.level, value: 42 in, reason: town ordinance 12-3}]

# A finding that somebody answers for; it stays in every report and no longer counts:
# accepted: [{code: opening.end, where: [P1], reason: furred out later, role: plan reviewer}]

# What the guard is made of, by names that `stringline catalog` lists. To change single values of a
# profile for this job, write for instance   post: {name: steel-square-2.5, wall: 1/4 in}
system:
  post: steel-square-2.5        # tube on a base plate
  rail: al-flat-2.5x1.5         # top rail
  bracket: al-saddle-8          # holds the rail on a post
  cable: ss316-1x19-1_8         # the infill
  fitting: swage-stud-1_4       # threaded stud at both ends of a cable
  anchor: through-bolt-1_2      # holds a base plate down
  spacer: al-bar-1x3_8          # slim drilled bar that holds cables apart between posts

guard:
  height: 36 in                 # walking surface to top of rail
  stair_height: 36 in           # nosing line, vertical, to top of rail
  bottom_gap: 3 in              # walking surface to underside of lowest cable
  cable_spacing: 3 in           # cables centre to centre, on the level
  rows: pitch                   # pitch: rows at the spacing; even: the fewest rows, spread evenly
  max_post_spacing: 6 ft        # longest bay, post centre to post centre
  max_cable_span: 36 in         # a spacer wherever a cable would span more; none: no spacers
  edge_inset: 4 in              # deck edge to post centre line
  stair_setback: 3 in           # nosing to post centre on a tread
  wall_gap: 2 in                # wall to the near face of a post
  run_on: 1 in                  # rail beyond the outer face of an end post
  tension: 70 lbf               # set tension of a cable
  mount: deck                   # deck: on base plates; fascia: by side plates; core: in concrete
  transition: plumb             # rails of two heights meet in a plumb drop, an easing, or common

# What the posts stand on. Left out, anchor checks are notes.
# structure:
#   joists: {spacing: 16 in, width: 1-1/2 in, depth: 9-1/4 in, bearing: 90, species: southern-pine}
#   decking: 1 in
#   overhang: 1 in              # decking beyond the fascia
#   concrete: true              # where posts stand in cored holes

# A graspable rail for the stairs. In its place one word can stand: elsewhere, where others fit one,
# or guard, where the guard's own rail is to serve.
# handrail: {height: 36 in, diameter: 1-1/2 in}

# What the calculation of strength takes for granted; what is left out has its unfavourable default.
# strength: elsewhere   where others make it.
strength:
  propping: rail                # the rail props the end posts against the cables
  base: gives                   # a base turns under load, as far as base_give says (1 deg)

# What is cut from bars, and what they cost. Left out, a piece is as long as its bays allow.
# stock:
#   rail: [{length: 8 ft, cost: 39}, {length: 20 ft, cost: 84.50}]
#   post: [{length: 24 ft}]     # also handrail: and cable: [{length: 500 ft, count: 2}]
#   kerf: 1/8 in                # width of the saw cut

# What is ordered beyond the need: a share, rounded up, or a number of pieces; and your prices.
# order: {spares: {cable: 10 %, fittings: 5 %, fasteners: 5 %, pieces: 0 %}, prices: my-prices.csv}

# What stands near the guard and must stay clear of it; a box is told by the middle of its plan.
# obstacles: [{name: downpipe, box: {x: 12 ft, y: -2 in, width: 3 in, depth: 3 in, height: 10 ft}}]

# How files are written: STEP after AP242 instead of AP214, and the paper of what is printed.
# outputs: {step_schema: ap242, paper: letter}
# How the permit set is drawn, and what its title block says; sheets are arch-b, arch-d, ansi-b, a3
# or a1, scales 1/4 in (to the foot) or 1:50 and the like, or the largest that fits:
# drawings:
#   sheet: arch-b
#   firm: Hill Street Decks
#   owner: the owner
#   address: 12 Hill Street
#   revisions: [{mark: A, date: 2026-11-25, text: stair moved}]

# One run is one path, walked with a tape along deck edges and stair sides. It begins and ends with
# a leg. Between two legs may stand a turn or an opening; without one they go straight on.
#   - {level: 12 ft, fall: 3 in, inset: 5 in}           a drained edge, its posts nearer the middle
#   - {level: 12 ft, grade: [{down: 4 ft}]}             lowest ground beside it, as far out as the
#                       rules look: says where a guard is required; else it is taken to be
#   - {level: 12 ft, fixed: [{at: 8 ft, width: 5-1/2 in}]}       a house column stands in the leg
#   - ramp: {length: 12 ft, rise: -12 in}               a ramp down
#   - opening: 36 in                                    a gap for a gate or a stair head
#   - stair: {risers: 7, rise: 4 ft, going: 66 in}      a stair by its total going
#   - stair: {treads: [{rise: 7 in, going: 11 in}, {rise: 7-1/8 in}]}     as measured, from above
# closed: pair   beside legs brings the path back to its start, instead of end.
runs:
  - id: A                       # leads the marks of this run
    start:
      x: 0                      # where the path begins: to the east,
      y: 0                      # to the north,
      z: 36 in                  # and the height of the walking surface
      bearing: 0                # direction of the first leg: 0 east, 90 north
      end: wall                 # the guard begins at a wall; or free
    deck: left                  # one walks on the left of the path; or right
    legs:
      - level: 14 ft 3 in       # a level leg, measured along the deck edge
      - turn: 90                # degrees to the left, -90 to the right
        corner: single          # one post in line with both legs; pair: two, a leg ends at each;
                                # pair-through: two, round which flexible cables go on
      - level: 9' 7-1/2"
      - turn: -90
        corner: pair
      - stair:
          risers: 5             # count the risers, not the treads
          rise: 36 in           # floor to floor
          tread: 11 in          # nosing to nosing, level
          nosing: 0 in          # how far a nosing stands over the riser below it
          tread_thickness: 1-1/2 in
          direction: down       # as the path goes; or up
    end: free                   # the guard ends free; or at a wall; or shared with an earlier run
"""


def starter() -> str:
    """Text of the spec that a new job begins with."""
    return _STARTER
