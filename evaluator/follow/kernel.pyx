# distutils: language = c++
# cython: boundscheck=False, wraparound=False, cdivision=True, initializedcheck=False
"""One step of the follower, compiled: every hypothesis carried over one more strike.

The same recursion as `Follower` in follower.py, which says what it means; this only says it
to a compiler. The order of the ways and of every sum is kept, so that both find the same
hypotheses. Prices and tables come from Python (`compiled.py`): tables of the song and
numbers when a kernel is made, gains with each strike, and prices of form from the follower
when they are first needed. Indices are looked at when a kernel is made, and then trusted.

A way that is dearer than one known already to the same position and tempo, or than the
cheapest of all by the beam, is dropped as soon as it is found.
"""

cimport cython
from cpython.buffer cimport PyBUF_ND, PyBUF_STRIDES, PyBuffer_Release, PyObject_GetBuffer
from libc.limits cimport INT_MAX
from libc.math cimport INFINITY, fabs, log
from libcpp.algorithm cimport lower_bound, sort, stable_sort, upper_bound
from libcpp.vector cimport vector

cdef enum:
    START, ONWARD, PAUSE, LEAP, RESTART, ORNAMENT, SHORT, BESIDE, SLOWER

cdef enum:
    STACKS = 256  # in which ways are dealt out by cost: more than there are ways, mostly

cdef struct Numbers:
    double beam, scatter_variance, drift_variance, on_time, astray_price
    double pull, tempo_jump, tempo_section, tempo_again, again, missed, ornament, echo, wrong
    double slower, slower_on, slow_second, tempo_back, pause, held
    double beside, hasty_price, unhalted, breath
    double slowed_from, slowed_to, adorned, adorned_times, earliest_leap, halting, halt, hasty, apiece
    double longest_wait
    double astray, astray_long, pulling, pulling_long
    double start_doubt, slowest, fastest, bridgeable
    int cells, cells_at_first, at_first, leaving, leaders

cdef struct Place:
    double wanted_before, wanted_through, wait, halt
    int bar, harmony, kind, span

cdef struct Bar:
    double x, length, room, onward_room, wanted_by_end, early, bend
    int first, entry, rest_after, opens

cdef struct Start:
    double cost, ratio
    int position, loose

cdef struct Cell:
    double cost, beat_time, ratio, doubt, usual, amiss
    int position
    short back
    signed char kind
    unsigned char bucket  # step of tempo, or that of the cell from which it comes

cdef struct Now:  # what a cell comes to at the strike
    double elapsed, due, spread, base, astray
    int bucket

cdef struct Exit:  # to another bar, at a price that may be paid
    int to
    double price

cdef struct Way:
    double cost, late  # late: seconds; over a halt the change of tempo, at a start the ratio
    int position, source, key, stack
    signed char kind
    unsigned char bucket


cdef inline double at_least_0(double value) noexcept:
    return value if value > 0.0 else 0.0


cdef inline double within(double value, double low, double high) noexcept:
    value = value if value > low else low
    return value if value < high else high


cdef bint is_cheaper(const Exit &one, const Exit &other) noexcept:
    return one.price < other.price


cdef bint is_before(const Exit &one, const Exit &other) noexcept:
    return one.to < other.to


cdef inline bint turns(int kind, double late) noexcept:
    """Whether a way leads over a halt to another tempo."""
    return (kind == PAUSE or kind == RESTART or kind == SLOWER) and late != 1.0


cdef const void *table(array, Py_ssize_t size, int *count) except NULL:
    """Where the rows of an array lie, and how many there are, as long as somebody keeps it."""
    cdef Py_buffer view
    PyObject_GetBuffer(array, &view, PyBUF_ND)
    cdef const void *rows = view.buf
    cdef bint fits = view.itemsize == size and 0 < view.len < size * INT_MAX
    count[0] = <int>(view.len // size)
    PyBuffer_Release(&view)
    if not fits:
        raise ValueError("a table of the kernel is empty, or not of its type")
    return rows


@cython.final
cdef class Kernel:
    """The step of one take through one song."""

    cdef Numbers n
    # Tables of the song, and how long they are; `kept` keeps them.
    cdef list kept
    cdef const double *x
    cdef const double *tempo_bounds
    cdef const double *turns
    cdef const double *section_turns
    cdef const double *ways_out  # from bar to bar
    cdef const int *ahead  # so many of each position
    cdef const int *near  # without a gap
    cdef const int *close
    cdef const Place *places
    cdef const Bar *bars
    cdef const Start *starts
    cdef int positions, many_bars, many_starts, buckets, many_turns, many_section_turns
    cdef int many_ahead, many_near, many_close, harmonies, kinds
    cdef bint any_loose
    cdef vector[Cell] cells, after
    # At one strike.
    cdef double time, since, suits, limit, cheapest
    cdef double most  # that a way may gain
    cdef const double *heard
    cdef const double *placed
    cdef const double *adorning  # infinite where the strike is no part of an ornament
    cdef vector[double] lacking, first_heard  # of each harmony, under a new sign
    cdef vector[Now] now  # of each cell
    cdef vector[Way] ways
    cdef int many_found, found_before  # of `ways`, at this strike and at all before
    cdef vector[int] slots  # of each key's way; what was found before is free
    cdef int steps, open_until  # strikes, and those through which much may still be true
    cdef vector[int] order, stacks  # of ways, by their cost
    # Of each bar.
    cdef vector[vector[Exit]] exits
    cdef vector[Exit] payable
    cdef vector[int] seen, leader
    cdef vector[double] best
    cdef vector[int] leaders

    def __init__(self, numbers, tables):
        cdef int positions, many_ways
        self.n, self.kept = numbers, [tables]
        self.x = <const double *>table(tables["x"], sizeof(double), &self.positions)
        self.places = <const Place *>table(tables["places"], sizeof(Place), &positions)
        self.bars = <const Bar *>table(tables["bars"], sizeof(Bar), &self.many_bars)
        self.starts = <const Start *>table(tables["starts"], sizeof(Start), &self.many_starts)
        self.ahead = <const int *>table(tables["ahead"], sizeof(int), &self.many_ahead)
        self.near = <const int *>table(tables["near"], sizeof(int), &self.many_near)
        self.close = <const int *>table(tables["close"], sizeof(int), &self.many_close)
        self.tempo_bounds = <const double *>table(
            tables["tempo_bounds"], sizeof(double), &self.buckets)
        self.turns = <const double *>table(tables["turns"], sizeof(double), &self.many_turns)
        self.section_turns = <const double *>table(
            tables["section_turns"], sizeof(double), &self.many_section_turns)
        self.ways_out = <const double *>table(tables["ways_out"], sizeof(double), &many_ways)
        self.many_ahead //= positions
        if positions != self.positions or not self.many_ahead or many_ways != self.many_bars * self.many_bars:
            raise ValueError("the tables of the kernel are not of one song")
        self.check()
        self.lacking.resize(self.harmonies)
        self.first_heard.resize(self.harmonies)
        self.exits.resize(self.many_bars)
        self.seen.resize(self.many_bars)
        self.leader.resize(self.many_bars)
        self.best.resize(self.many_bars)
        self.slots.resize(1024)
        self.open_until = self.n.at_first
        self.ways.resize(512)
        self.found_before = 1

    cdef int check(self) except -1:
        """Whatever an index of one table points to is there."""
        cdef int i, n
        cdef bint fits = 0 < min(self.n.cells, self.n.cells_at_first)
        fits = fits and max(self.n.cells, self.n.cells_at_first) < 32_000 and self.buckets < 256
        for i in range(self.positions):
            place = self.places[i]
            fits = fits and 0 <= place.bar < self.many_bars
            fits = fits and 0 <= place.harmony and 0 <= place.kind
            for n in range(self.many_ahead):
                fits = fits and 0 <= self.ahead[i * self.many_ahead + n] < self.positions
            self.harmonies = max(self.harmonies, place.harmony + 1)
            self.kinds = max(self.kinds, place.kind + 1)
        for i in range(self.many_bars):
            bar = self.bars[i]
            fits = fits and 0 <= bar.first < self.positions and 0 <= bar.entry < self.positions
            fits = fits and 0 <= bar.rest_after < self.many_bars
        for i in range(self.many_starts):
            fits = fits and 0 <= self.starts[i].position < self.positions
            self.any_loose = self.any_loose or self.starts[i].loose
        if not fits:
            raise ValueError("an index in the kernel's tables points beyond them")

    def step(self, of, double time, double since, double outside, double suits,
             heard, placed, adorning):
        """The cells after a strike, as the bytes of so many `Cell`.

        `of`: the follower, which is asked for prices of form; `since`: seconds since the strike
        before; `outside`: the price of beginning with this one, for those before; `suits`,
        `heard`, `placed`: its gains on every way, under each harmony and at each kind of place;
        `adorning`: its price as part of an ornament, at each harmony.
        """
        cdef int i, harmonies, kinds, adorned
        cdef double most = 0.0, most_placed = 0.0
        self.heard = <const double *>table(heard, sizeof(double), &harmonies)
        self.placed = <const double *>table(placed, sizeof(double), &kinds)
        self.adorning = <const double *>table(adorning, sizeof(double), &adorned)
        if min(harmonies, adorned) < self.harmonies or kinds < self.kinds:
            raise ValueError("a strike has not as many gains as its song wants")
        self.time, self.since, self.suits = time, since, suits
        for i in range(self.harmonies):
            self.lacking[i] = at_least_0(-self.heard[i])
            self.first_heard[i] = self.heard[i] + self.beyond(self.lacking[i])
            most = max(most, self.heard[i])
        for i in range(self.kinds):
            most_placed = max(most_placed, self.placed[i])
        # A little more, so that no rounding leaves out what is just within it.
        self.most = max(most, self.n.echo * most) + at_least_0(suits) + most_placed + 1e-6
        self.cheapest = INFINITY
        self.steps += 1
        self.found_before += self.many_found
        self.many_found = 0
        self.all_ways(of, outside)
        self.choose()
        self.cells.swap(self.after)
        return (<char *>self.cells.data())[:self.cells.size() * sizeof(Cell)]

    # -- every way to place a strike -----------------------------------------------------

    cdef int all_ways(self, of, double outside) except -1:
        if self.cells.empty():
            return self.starting(0.0)
        self.limit = self.cells[0].cost + self.n.beam
        self.look()
        self.onward()
        self.passed_over()
        self.beside()
        self.slowed()
        self.halted()
        self.leaps()
        self.find_leaders()
        self.restarts(of)
        self.bar_lines()
        return self.starting(outside)

    cdef int look(self) except -1:
        """What each cell comes to at the strike."""
        cdef int i
        self.now.resize(self.cells.size())
        for i in range(<int>self.cells.size()):
            cell, now = &self.cells[i], &self.now[i]
            now.elapsed = self.time - cell.beat_time
            now.due = self.x[cell.position] + now.elapsed / cell.ratio
            now.spread = self.n.scatter_variance + (cell.doubt + self.n.drift_variance) * (
                now.elapsed * now.elapsed)
            now.base = cell.cost + 0.5 * log(now.spread / self.n.scatter_variance) - (
                self.n.on_time)
            if cell.usual > 0.0:
                now.base += self.n.slow_second * now.elapsed
            now.astray = max(self.n.astray, self.n.astray_long * now.elapsed)
            now.bucket = self.bucket_of(cell.ratio, cell.bucket)

    cdef int starting(self, double outside) except -1:
        """To every beginning."""
        cdef int i
        cdef double before
        cdef const Start *start
        if not self.cells.empty() and not self.limit > (0.0 if self.any_loose else outside):
            return 0
        for i in range(self.many_starts):
            start = &self.starts[i]
            before = 0.0 if start.loose else outside
            if self.cells.empty() or self.limit > before:
                self.add(START, start.cost + before, start.ratio, start.position, -1)

    cdef int onward(self) except -1:
        """To the positions that are due about now."""
        cdef int i, here, due, first, last, target
        cdef double late, cost, scale, x, through, hasty
        hasty = self.n.hasty_price if self.since < self.n.hasty else 0.0
        for i in range(<int>self.cells.size()):
            cell, now = &self.cells[i], &self.now[i]
            if not now.base - self.most < self.cheapest + self.n.beam:
                continue
            here, scale, x = cell.position, 0.5 / now.spread, self.x[cell.position]
            through = self.places[here].wanted_through
            due = self.due_at(here, now.due)
            first = max(min(due + self.near[0], self.positions - 1), here)
            last = max(min(due + self.near[self.many_near - 1], self.positions - 1), here)
            for target in range(first, last + 1):
                late = now.elapsed - (self.x[target] - x) * cell.ratio
                if not fabs(late) < now.astray:
                    continue
                cost = min(late * late * scale, self.n.astray_price) + now.base
                cost += at_least_0(self.places[target].wanted_before - through) * self.n.missed
                cost += self.n.again if target == here else hasty
                self.add(ONWARD, cost, late, target, i)

    cdef int passed_over(self) except -1:
        """The strike is an ornament: everything stays where it is."""
        cdef int i
        for i in range(<int>self.cells.size()):
            self.staying(ORNAMENT, i, self.n.ornament)

    cdef int beside(self) except -1:
        """The strike is a piece of the last one, or of an ornament that is written there."""
        cdef int i
        cdef double price, lasts
        cdef const Place *place
        for i in range(<int>self.cells.size()):
            place = &self.places[self.cells[i].position]
            lasts = self.n.adorned + self.n.adorned_times * place.wait * self.cells[i].ratio
            price = self.adorning[place.harmony] if self.now[i].elapsed < lasts else INFINITY
            if self.now[i].elapsed < self.n.apiece or self.since < self.n.hasty:
                price = min(price, self.n.beside)
            self.staying(BESIDE, i, price)

    cdef int staying(self, int kind, int i, double price) except -1:
        if self.cells[i].cost + price < self.limit:
            self.add(kind, self.cells[i].cost + price, 0.0, self.cells[i].position, i)

    cdef int slowed(self) except -1:
        """To the next natural positions, in time at the slower tempo of a hard passage."""
        cdef int i, n, here, target
        cdef double distance, cost, late, latest, usual, ratio, price
        for i in range(<int>self.cells.size()):
            if i and not self.cells[i].cost < self.cells[0].cost + self.n.halting:
                break
            here, usual, price = self.cells[i].position, self.cells[i].usual, self.n.slower_on
            # Seconds behind its own tempo within which a passage may begin; in one, any.
            latest = INFINITY
            if not usual > 0.0:
                if i >= self.n.leaders:
                    continue
                usual, price, latest = self.cells[i].ratio, self.n.slower, self.n.breath
            for n in range(self.many_ahead):
                target = self.ahead[here * self.many_ahead + n]
                distance = self.x[target] - self.x[here]
                if not distance > 0.0:
                    continue
                ratio = self.now[i].elapsed / distance
                late = self.now[i].elapsed - distance * self.cells[i].ratio
                if late < latest and self.n.slowed_from * usual < ratio < self.n.slowed_to * usual:
                    cost = self.now[i].base + price
                    cost += self.between(here, target) * self.n.missed
                    self.add(SLOWER, cost, ratio / self.cells[i].ratio, target, i)

    cdef int halted(self) except -1:
        """Over a halt to the next natural positions."""
        cdef int i, n, here, target
        cdef double distance, cost, late
        for i in range(<int>self.cells.size()):
            if i and not self.cells[i].cost < self.cells[0].cost + self.n.halting:
                break
            here = self.cells[i].position
            for n in range(self.many_ahead):
                target = self.ahead[here * self.many_ahead + n]
                distance = self.x[target] - self.x[here]
                late = self.now[i].elapsed - distance * self.cells[i].ratio
                if late > self.n.halt and distance < self.n.bridgeable:
                    cost = self.now[i].base + (
                        self.places[target].halt if late > self.n.held else self.n.pause)
                    cost += self.between(here, target) * self.n.missed
                    self.at_any_tempo(PAUSE, cost, target, i, late > self.n.breath)

    cdef int at_any_tempo(self, int kind, double cost, int target, int i, bint breath) except -1:
        """Over a halt; if it was long enough for a breath, at other tempi as well."""
        cdef int n
        self.add(kind, cost, 1.0, target, i)
        if breath:
            for n in range(self.many_section_turns):
                self.add(kind, cost + self.n.tempo_again, self.section_turns[n], target, i)

    cdef int leaps(self) except -1:
        """At a bar line, in time, along any way of the form but straight on: from the first few
        cells of each bar that are at its end."""
        cdef int i, bar
        cdef double over
        self.seen.assign(self.seen.size(), 0)
        for i in range(<int>self.cells.size()):
            bar = self.bar_left(i)
            over = self.now[i].due - self.end(bar)
            if -self.n.earliest_leap < over < self.bars[bar].onward_room:
                self.seen[bar] += 1
                if self.seen[bar] <= self.n.leaving:
                    self.leaps_from(i, bar, over)

    cdef int leaps_from(self, int i, int bar, double over) except -1:
        """From one cell at the end of a bar to every other bar that may be worth its price."""
        cdef double base = self.now[i].base
        cdef double unplayed = self.bars[bar].wanted_by_end - (
            self.places[self.cells[i].position].wanted_through)
        cdef double lost = self.n.missed * at_least_0(unplayed)
        self.payable.clear()
        for way in self.exits_of(bar)[0]:
            if not (way.price + base < self.limit
                    and way.price + base + lost - self.most < self.cheapest + self.n.beam):
                break
            if not fabs(self.bars[way.to].x - self.end(bar)) < 1e-6:
                self.payable.push_back(way)
        sort(self.payable.begin(), self.payable.end(), is_before)
        for way in self.payable:
            self.leap_to(i, way.to, over, way.price + base, unplayed)

    cdef int leap_to(self, int i, int to, double over, double price, double unplayed) except -1:
        cdef int n, target, due = self.due_at(self.bars[to].first, self.bars[to].x + over)
        cdef int first = self.bars[to].first
        cdef double into, late, cost, skipped, scale = 0.5 / self.now[i].spread
        for n in range(self.many_close):
            target = max(min(due + self.close[n], self.positions - 1), 0)
            into = self.x[target] - self.bars[to].x
            late = (over - into) * self.cells[i].ratio
            if not (0 <= into < self.bars[to].room and fabs(late) < self.now[i].astray):
                continue
            cost = min(late * late * scale, self.n.astray_price)
            skipped = self.places[target].wanted_before - self.places[first].wanted_before
            cost += price + self.n.missed * at_least_0(unplayed + skipped)
            if cost < self.limit + self.n.on_time:
                self.add(LEAP, cost, late, target, i)

    cdef int restarts(self, of) except -1:
        """Breaking off and taking up again at the beginning of a bar, after any time."""
        cdef int i, bar, entry, here = self.cells[0].position
        cdef double price, late, wait = self.x[self.ahead[here * self.many_ahead]] - self.x[here]
        cdef const double *prices
        late = self.now[0].elapsed - min(wait * self.cells[0].ratio, self.n.longest_wait)
        if late < self.n.halt:
            return 0
        if late > self.n.breath:
            self.open_until = self.steps - 1 + self.n.at_first
        self.best.assign(self.best.size(), INFINITY)
        for i in self.leaders:
            answer = of.restarting(self.bar_of(i))
            prices = self.of_each_bar(answer)
            for bar in range(self.many_bars):
                price = prices[bar] + self.cells[i].cost
                if price < self.best[bar]:
                    self.best[bar], self.leader[bar] = price, i
        for entry in range(2):
            for bar in range(self.many_bars):
                if not entry or self.bars[bar].entry != self.bars[bar].first:
                    i = self.leader[bar]
                    self.at_any_tempo(
                        RESTART, self.best[bar],
                        self.bars[bar].entry if entry else self.bars[bar].first, i,
                        late > self.n.breath)

    cdef int bar_lines(self) except -1:
        """A bar line before its time: the bar is cut short, or begun again without a halt."""
        cdef int i, bar
        cdef double into
        for i in self.leaders:
            bar = self.bar_of(i)
            into = self.now[i].due - self.bars[bar].x
            if self.n.earliest_leap <= into < self.bars[bar].length - self.n.astray:
                for way in self.exits_of(bar)[0]:
                    if way.price > 0.0:
                        break
                    self.begin_early(SHORT, i, way.to, self.bars[bar].early)
                self.begin_early(RESTART, i, bar, self.n.unhalted)

    cdef int begin_early(self, int kind, int i, int to, double price) except -1:
        cdef double cost = self.cells[i].cost + price
        self.add(kind, cost, 1.0, self.bars[to].first, i)
        if self.bars[to].entry != self.bars[to].first:
            self.add(kind, cost, 1.0, self.bars[to].entry, i)

    cdef int find_leaders(self) except -1:
        """The cheapest cells, one of each bar."""
        cdef int i
        self.leaders.clear()
        self.seen.assign(self.seen.size(), 0)
        for i in range(min(self.n.leaders, <int>self.cells.size())):
            if not self.seen[self.bar_of(i)]:
                self.seen[self.bar_of(i)] = 1
                self.leaders.push_back(i)

    cdef vector[Exit] *exits_of(self, int bar) except NULL:
        """The ways out of a bar that may be cheap enough, the cheapest first."""
        cdef int to
        cdef const double *prices = self.ways_out + <Py_ssize_t>bar * self.many_bars
        if self.exits[bar].empty():
            for to in range(self.many_bars):
                # A little more, so that no rounding leaves out what is just within it.
                if prices[to] < self.n.beam + self.n.on_time + 1e-6:
                    self.exits[bar].push_back(Exit(to, prices[to]))
            stable_sort(self.exits[bar].begin(), self.exits[bar].end(), is_cheaper)
        return &self.exits[bar]

    cdef const double *of_each_bar(self, prices) except NULL:
        cdef int count
        cdef const double *found = <const double *>table(prices, sizeof(double), &count)
        if count != self.many_bars:
            raise ValueError("not a price for each bar")
        return found

    # -- what a way costs, and the cheapest -----------------------------------------------

    cdef inline int add(self, int kind, double cost, double late, int position,
                        int source) except -1:
        """A way, less what the strike's notes and place speak for it, if it is the cheapest."""
        cdef int bucket, key, harmony = self.places[position].harmony
        cdef int *known
        cdef double heard
        cdef Way *way
        if not cost - self.most < self.cheapest + self.n.beam:
            return 0
        if kind != ORNAMENT:
            heard = self.first_heard[harmony]
            if self.same_sign(kind, source, position):
                heard = self.n.echo * self.heard[harmony] + (
                    self.beyond(self.amiss_after(source, harmony))
                    - self.beyond(self.cells[source].amiss))
            # A tone of the chord that is a piece of it is not alone.
            if kind == BESIDE and self.heard[harmony] >= 0.0:
                heard += at_least_0(self.suits)
            else:
                heard += self.suits
            if kind != BESIDE:
                heard += self.placed[self.places[position].kind]
            cost -= heard
        if not cost < self.cheapest + self.n.beam:
            return 0
        if kind == START:
            bucket = self.bucket_of(late, 0)
        elif turns(kind, late):
            bucket = self.bucket_of(self.cells[source].ratio * late, 0)
        else:
            bucket = self.now[source].bucket
        key = ((position * self.buckets + bucket) * 2 + (kind == ORNAMENT)) * 2 + (
            self.usual_after(kind, late, source) > 0.0)
        known = self.slot_of(key)
        if known[0] >= self.found_before:
            way = &self.ways[known[0] - self.found_before]
            if not cost < way.cost:
                return 0
            way.cost = INFINITY
        known[0] = self.found_before + self.many_found
        way = &self.ways[self.many_found]
        way.cost, way.late, way.position, way.source = cost, late, position, source
        way.key, way.kind, way.bucket = key, kind, bucket
        self.many_found += 1
        self.cheapest = min(self.cheapest, cost)
        if self.many_found == <int>self.ways.size():
            self.more_slots()

    cdef inline int *slot_of(self, int key) noexcept:
        """The slot of a position, a tempo and whether it is an ornament's: free or its own."""
        cdef unsigned int spread = key * <unsigned int>2654435769  # Knuth's, the golden ratio
        cdef size_t last = self.slots.size() - 1, at = (spread >> 12) & last
        while self.slots[at] >= self.found_before and (
                self.ways[self.slots[at] - self.found_before].key != key):
            at = (at + 1) & last
        return &self.slots[at]

    cdef int more_slots(self) except -1:
        """Twice as many, for twice as many ways."""
        cdef int i
        self.ways.resize(2 * self.ways.size())
        self.slots.assign(2 * self.ways.size(), 0)
        for i in range(self.many_found):
            if self.ways[i].cost < INFINITY:
                self.slot_of(self.ways[i].key)[0] = self.found_before + i

    cdef int choose(self) except -1:
        """The cells after the strike: of the cheapest way to each position and tempo."""
        cdef int i, most = self.n.cells
        if self.steps <= self.open_until:
            most = self.n.cells_at_first
        self.sort_ways()
        self.after.resize(min(most, <int>self.order.size()))
        for i in range(<int>self.after.size()):
            self.carry(&self.ways[self.order[i]], &self.after[i])
        self.as_before()
        self.other_tempi()

    cdef int sort_ways(self) except -1:
        """The ways within the beam, the cheapest first, of equals the one that was found first:
        dealt out by cost, and then each put before what is dearer."""
        cdef int i, at
        cdef double finely = STACKS / self.n.beam
        cdef Way *way
        self.stacks.assign(STACKS + 1, 0)
        for i in range(self.many_found):
            way = &self.ways[i]
            way.stack = STACKS
            if way.cost < self.cheapest + self.n.beam:
                way.stack = min(<int>((way.cost - self.cheapest) * finely), STACKS - 1)
                self.stacks[way.stack + 1] += 1
        for i in range(STACKS):
            self.stacks[i + 1] += self.stacks[i]
        self.order.resize(self.stacks[STACKS])
        for i in range(self.many_found):
            if self.ways[i].stack < STACKS:
                self.order[self.stacks[self.ways[i].stack]] = i
                self.stacks[self.ways[i].stack] += 1
        for i in range(1, <int>self.order.size()):
            at, way = i, &self.ways[self.order[i]]
            while at and way.cost < self.ways[self.order[at - 1]].cost:
                self.order[at] = self.order[at - 1]
                at -= 1
            self.order[at] = <int>(way - self.ways.data())

    cdef void carry(self, const Way *way, Cell *cell) noexcept:
        """Beat and tempo of a hypothesis after this way."""
        cdef const Cell *before
        cdef double late, most, span, strength
        cdef int harmony = self.places[way.position].harmony
        cell.cost, cell.position = way.cost, way.position
        cell.back, cell.kind, cell.bucket = way.source, way.kind, way.bucket
        cell.amiss = self.lacking[harmony]
        if way.kind == START:
            cell.beat_time, cell.doubt, cell.ratio = self.time, self.n.start_doubt, way.late
            cell.usual = 0.0
            if not self.cells.empty():
                cell.ratio = within(way.late, self.n.slowest, self.n.fastest)
            return
        before = &self.cells[way.source]
        cell.doubt, cell.usual = before.doubt, self.usual_after(way.kind, way.late, way.source)
        if way.kind == ORNAMENT:
            cell.amiss = before.amiss
        elif self.same_sign(way.kind, way.source, way.position):
            cell.amiss = self.amiss_after(way.source, harmony)
        if way.kind != ONWARD and way.kind != LEAP:
            cell.beat_time = self.time
            if way.kind == ORNAMENT or way.kind == BESIDE:
                cell.beat_time = before.beat_time
            cell.ratio = before.ratio
            if turns(way.kind, way.late):
                cell.ratio, cell.doubt = before.ratio * way.late, self.n.start_doubt
            cell.ratio = within(cell.ratio, self.n.slowest, self.n.fastest)
            return
        most = max(self.n.pulling, self.n.pulling_long * (self.time - before.beat_time))
        late = within(way.late, -most, most)
        span = max(self.time - late - before.beat_time, 1e-3)
        strength = before.doubt * span * span
        strength /= strength + 2 * self.n.scatter_variance
        cell.ratio = within(before.ratio * (1 + strength * late / span), self.n.slowest,
                            self.n.fastest)
        cell.doubt = before.doubt * (1 - strength) + (
            self.bars[self.places[way.position].bar].bend * span)
        cell.beat_time = self.time - (1 - self.n.pull) * late

    cdef int other_tempi(self) except -1:
        """The best hypothesis on a bar line again at other tempi."""
        cdef Cell best, other
        cdef const Bar *bar
        cdef const double *turns
        cdef int n
        if self.after.empty():
            return 0
        best = other = self.after[0]
        bar = &self.bars[self.places[best.position].bar]
        if best.kind != ONWARD or best.position != bar.first:
            return 0
        other.cost += self.n.tempo_section if bar.opens else self.n.tempo_jump
        turns = self.section_turns if bar.opens else self.turns
        for n in range(self.many_section_turns if bar.opens else self.many_turns):
            other.ratio = best.ratio * turns[n]
            if self.n.slowest < other.ratio < self.n.fastest:
                self.after.push_back(other)

    cdef int as_before(self) except -1:
        """The best hypothesis that ends a hard passage on a bar line, again at the tempo before."""
        cdef int i
        cdef Cell other
        for i in range(<int>self.after.size()):
            other = self.after[i]
            if other.usual > 0.0 and (other.kind == ONWARD or other.kind == SLOWER) and (
                    other.position == self.bars[self.places[other.position].bar].first):
                other.cost += self.n.tempo_back
                other.ratio, other.usual = other.usual, 0.0
                self.after.push_back(other)
                return 0

    # -- small questions ------------------------------------------------------------------

    cdef inline bint same_sign(self, int kind, int source, int position) noexcept:
        """Whether the strike sounds under the sign of the chart under which the last one did."""
        return (kind == ONWARD or kind == PAUSE or kind == BESIDE or kind == SLOWER) and (
            self.places[self.cells[source].position].span == self.places[position].span)

    cdef inline double usual_after(self, int kind, double late, int source) noexcept:
        """The tempo before a hard passage; none where the song is begun, or the tempo is a new
        one."""
        if kind == START or kind == RESTART or kind == PAUSE and late != 1.0:
            return 0.0
        cdef const Cell *before = &self.cells[source]
        return before.ratio if kind == SLOWER and not before.usual > 0.0 else before.usual

    cdef inline double amiss_after(self, int source, int harmony) noexcept:
        """What the strikes under the same sign lack after one more."""
        return self.cells[source].amiss + self.n.echo * self.lacking[harmony]

    cdef inline double beyond(self, double amiss) noexcept:
        """What that is beyond one mistake."""
        return at_least_0(amiss - self.n.wrong)

    cdef inline double between(self, int here, int target) noexcept:
        """Expected strikes that are passed over."""
        return at_least_0(self.places[target].wanted_before - self.places[here].wanted_through)

    cdef inline int bar_of(self, int i) noexcept:
        return self.places[self.cells[i].position].bar

    cdef inline double end(self, int bar) noexcept:
        return self.bars[bar].x + self.bars[bar].length

    cdef inline int bar_left(self, int i) noexcept:
        """The bar at whose end a cell is now: bars of rest pass without a strike."""
        cdef int bar = self.bar_of(i), behind = self.bars[bar].rest_after
        while behind != bar and self.now[i].due - self.end(behind) > -self.n.earliest_leap:
            bar, behind = behind, self.bars[behind].rest_after
        return bar

    cdef inline int due_at(self, int start, double x) noexcept:
        """The first position not before a place on the line, which is likely soon after one."""
        cdef int soon = min(start + 8, self.positions)
        cdef const double *line = self.x
        if not line[start] < x:
            return <int>(lower_bound(line, line + start, x) - line)
        while start < soon and line[start] < x:
            start += 1
        if start < soon:
            return start
        return <int>(lower_bound(line + start, line + self.positions, x) - line)

    cdef inline int bucket_of(self, double ratio, int likely) noexcept:
        """The step of tempo to which a ratio belongs: the last whose bound is not above it."""
        cdef const double *bounds = self.tempo_bounds
        if bounds[likely] <= ratio and likely + 1 < self.buckets and ratio < bounds[likely + 1]:
            return likely
        return max(<int>(upper_bound(bounds, bounds + self.buckets, ratio) - bounds) - 1, 0)


def go_back(cells, backs):
    """From so many cells to those from which they come, -1 if none, in place: the back pointers
    of the latest strike first."""
    cdef Py_buffer view
    cdef int i, count
    cdef short *cell = <short *>table(cells, sizeof(short), &count)
    cdef bint fits = True
    for back in backs:
        PyObject_GetBuffer(back, &view, PyBUF_STRIDES)
        fits = fits and view.ndim == 1 and view.itemsize == sizeof(short)
        for i in range(count):
            fits = fits and cell[i] < view.shape[0]
            if fits and cell[i] >= 0:
                cell[i] = (<const short *>(<char *>view.buf + cell[i] * view.strides[0]))[0]
        PyBuffer_Release(&view)
    if not fits:
        raise ValueError("a cell beyond those of its strike, or not of its type")
