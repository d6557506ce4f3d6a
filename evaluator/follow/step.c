/* One step of the follower, compiled: every hypothesis carried over one more strike.

   The same recursion as `Follower` in follower.py, which says what it means; this file only
   says it to a compiler. The order of the ways and of every sum is kept, so that both find
   the same hypotheses. Whatever is tuned (prices, gains, tables of the song) comes from
   Python: as tables and numbers when a kernel is made, as gains with each strike, and as
   prices of form asked for when they are first needed.

   Work for one strike depends on the number of hypotheses, not on the length of the song,
   but for beginnings and restarts, which may lead to any bar. */

#include "kernel.h"

#include <math.h>

#define MOST_TURNS 8 /* other tempi tried at one bar line */

/* What is known at one strike: the cells before it and its gains. */
typedef struct {
    double time, since, outside, suits, limit;
    const double *heard, *place;
    Py_ssize_t count;
    const int32_t *position;
    const double *cost, *beat_time, *ratio, *doubt, *amiss;
    double *elapsed, *due, *spread, *base;
} Moment;

/* -- memory -------------------------------------------------------------------------- */

static int
room_for_ways(Kernel *k, Py_ssize_t more)
{
    Py_ssize_t room = k->ways_found + more;
    if (room <= k->ways_room)
        return 0;
    if (room > INT32_MAX / 2) {
        PyErr_NoMemory();
        return -1;
    }
    room += room / 2;
    if (kernel_grow(&k->ways, room, sizeof(Way)) ||
        kernel_grow(&k->chosen, room, sizeof(int32_t)) ||
        kernel_grow(&k->sorted, room, sizeof(int32_t)))
        return -1;
    k->ways_room = room;
    return 0;
}

static int
room_for_cells(Kernel *k, Py_ssize_t count)
{
    if (count <= k->cells_room)
        return 0;
    if (count > INT16_MAX) {
        PyErr_SetString(PyExc_ValueError, "too many cells");
        return -1;
    }
    if (kernel_grow(&k->of_cells, 4 * count, sizeof(double)) ||
        kernel_grow(&k->cell_bucket, count, sizeof(int32_t)))
        return -1;
    k->cells_room = count;
    return 0;
}

/* -- ways to place a strike ----------------------------------------------------------- */

/* The first place whose value is not below. */
static Py_ssize_t
not_below(const double *values, Py_ssize_t count, double value)
{
    Py_ssize_t low = 0;
    while (count > 0) {
        Py_ssize_t half = count / 2;
        if (values[low + half] < value) {
            low += half + 1;
            count -= half + 1;
        } else
            count = half;
    }
    return low;
}

/* The first position not before a place on the line, which is likely soon after `from`. */
static Py_ssize_t
due_at(const Kernel *k, Py_ssize_t from, double x)
{
    if (!(k->x[from] < x))
        return not_below(k->x, from, x);
    Py_ssize_t soon = from + 8 < k->positions ? from + 8 : k->positions;
    while (from < soon && k->x[from] < x)
        from++;
    return from < soon ? from : from + not_below(k->x + from, k->positions - from, x);
}

/* The step of tempo to which a ratio belongs: the last one whose bound is not above it. */
static int32_t
bucket_of(const Kernel *k, double ratio)
{
    int32_t bucket = 0, step = 1;
    while (2 * step < k->buckets)
        step *= 2;
    for (; step > 0; step /= 2)
        if (bucket + step < k->buckets && k->tempo_bounds[bucket + step] <= ratio)
            bucket += step;
    return bucket;
}

static double
at_least_0(double value)
{
    return value > 0.0 ? value : 0.0;
}

/* Whether the strike sounds under the sign of the chart under which the last one did. */
static inline int
same_sign(const Kernel *k, const Moment *m, const Way *way)
{
    return (way->kind == ONWARD || way->kind == PAUSE || way->kind == BESIDE) &&
           k->at[m->position[way->source]].span == k->at[way->position].span;
}

/* What the strikes under the sign lack after this way, if it is no ornament. */
static inline double
amiss_after(const Kernel *k, const Moment *m, const Way *way, int same)
{
    double lacking = k->lacking[k->at[way->position].harmony];
    return same ? m->amiss[way->source] + k->number.echo * lacking : lacking;
}

/* What that is beyond one mistake. */
static inline double
beyond(const Kernel *k, double amiss)
{
    return at_least_0(amiss - k->number.wrong);
}

/* A way, less what the strike's notes and place speak for it. There must be room for it. */
static inline void
add(Kernel *k, const Moment *m, Way way)
{
    if (way.kind != ORNAMENT) {
        int32_t harmony = k->at[way.position].harmony;
        double heard = k->first_heard[harmony];
        if (same_sign(k, m, &way))
            heard = k->number.echo * m->heard[harmony] +
                    (beyond(k, amiss_after(k, m, &way, 1)) - beyond(k, m->amiss[way.source]));
        /* A tone of the chord that is a piece of it is not alone. */
        int of_chord = way.kind == BESIDE && m->heard[harmony] >= 0.0;
        heard = heard + (of_chord ? at_least_0(m->suits) : m->suits);
        way.cost -= heard + (way.kind == BESIDE ? 0.0 : m->place[k->at[way.position].kind]);
    }
    if (way.source >= 0)
        way.bucket = k->cell_bucket[way.source];
    k->ways[k->ways_found++] = way;
}

static int
starting(Kernel *k, const Moment *m)
{
    if (room_for_ways(k, k->starts))
        return -1;
    double outside = m->count ? m->outside : 0.0;
    for (Py_ssize_t i = 0; i < k->starts; i++) {
        double before = k->start_loose[i] ? 0.0 : outside;
        if (m->count && !(m->limit > before))
            continue;
        Way way = {.cost = k->start_cost[i] + before, .late = k->start_ratio[i],
                   .source = -1, .position = k->start_position[i], .kind = START};
        way.bucket = bucket_of(k, way.late);
        add(k, m, way);
    }
    return 0;
}

/* To the positions that are due about now. */
static int
near(Kernel *k, const Moment *m)
{
    if (room_for_ways(k, m->count * k->nears))
        return -1;
    for (Py_ssize_t i = 0; i < m->count; i++) {
        Py_ssize_t here = m->position[i], due = due_at(k, here, m->due[i]);
        double scale = 0.5 / m->spread[i];
        for (Py_ssize_t n = 0; n < k->nears; n++) {
            Py_ssize_t target = due + k->near[n];
            if (target > k->positions - 1)
                target = k->positions - 1;
            if (target < here)
                target = here;
            double late = m->elapsed[i] - (k->at[target].x - k->at[here].x) * m->ratio[i];
            if (!(fabs(late) < k->number.astray))
                continue;
            double cost = late * late;
            cost *= scale;
            if (cost > k->number.astray_price)
                cost = k->number.astray_price;
            cost += m->base[i];
            cost += at_least_0(k->at[target].wanted_before - k->at[here].wanted_through) *
                    k->number.missed;
            if (target == here)
                cost += k->number.again;
            else if (m->since < k->number.hasty)
                cost += k->number.hasty_price;
            add(k, m, (Way){.cost = cost, .late = late, .position = (int32_t)target,
                            .source = (int32_t)i, .kind = ONWARD});
        }
    }
    return 0;
}

/* Everything stays where it is: the strike is an ornament, or a piece of the last one. */
static int
staying(Kernel *k, const Moment *m)
{
    if (room_for_ways(k, 2 * m->count))
        return -1;
    for (int kind = ORNAMENT; kind <= BESIDE; kind += BESIDE - ORNAMENT)
        for (Py_ssize_t i = 0; i < m->count; i++) {
            double cost = m->cost[i] + (kind == BESIDE ? k->number.beside : k->number.ornament);
            int piece = m->elapsed[i] < k->number.apiece || m->since < k->number.hasty;
            if (cost < m->limit && (kind == ORNAMENT || piece))
                add(k, m, (Way){.cost = cost, .position = m->position[i],
                                .source = (int32_t)i, .kind = (int16_t)kind});
        }
    return 0;
}

/* Over a halt to the next natural positions. */
static int
halted(Kernel *k, const Moment *m)
{
    Py_ssize_t few = 0;
    while (few < m->count && m->cost[few] < m->cost[0] + k->number.halting)
        few++;
    if (few == 0)
        few = m->count;
    if (room_for_ways(k, few * k->many_ahead))
        return -1;
    for (Py_ssize_t i = 0; i < few; i++) {
        int32_t here = m->position[i];
        for (Py_ssize_t a = 0; a < k->many_ahead; a++) {
            int32_t target = k->ahead[here * k->many_ahead + a];
            double distance = k->at[target].x - k->at[here].x;
            double late = m->elapsed[i] - distance * m->ratio[i];
            if (!(late > k->number.halt && distance < k->number.bridgeable))
                continue;
            double missed = at_least_0(k->at[target].wanted_before - k->at[here].wanted_through);
            double cost = m->base[i] + k->number.pause + missed * k->number.missed;
            add(k, m, (Way){.cost = cost, .position = target, .source = (int32_t)i,
                            .kind = PAUSE});
        }
    }
    return 0;
}

/* -- prices of form, asked for ---------------------------------------------------------- */

static int
keep_ways_out(Kernel *k, WaysOut *out, Py_buffer *bars, Py_buffer *prices)
{
    Py_ssize_t count = bars->len / 4;
    if (kernel_all_within(bars->buf, count, k->bars, "a way out"))
        return -1;
    int32_t *kept = NULL;
    if (kernel_grow(&kept, count, sizeof(int32_t)))
        return -1;
    if (kernel_grow(&out->prices, count, sizeof(double))) {
        PyMem_Free(kept);
        return -1;
    }
    memcpy(kept, bars->buf, (size_t)bars->len);
    memcpy(out->prices, prices->buf, (size_t)prices->len);
    out->bars = kept;
    out->count = count;
    return 0;
}

/* The ways out of a bar, from Python the first time. */
static const WaysOut *
ways_out(Kernel *k, int32_t bar)
{
    WaysOut *out = &k->out[bar];
    if (out->bars != NULL)
        return out;
    PyObject *answer = PyObject_CallFunction(k->ask_leaving, "i", (int)bar), *one, *other;
    Py_buffer bars, prices;
    int failed = -1;
    if (answer == NULL)
        return NULL;
    if (!PyArg_Parse(answer, "(OO);ways out are bars and prices", &one, &other))
        ;
    else if (kernel_table(one, &bars, "i", -1, "the ways out") == 0) {
        if (kernel_table(other, &prices, "d", bars.len / 4, "their prices") == 0) {
            failed = keep_ways_out(k, out, &bars, &prices);
            PyBuffer_Release(&prices);
        }
        PyBuffer_Release(&bars);
    }
    Py_DECREF(answer);
    return failed ? NULL : out;
}

/* The bar at whose end a cell is now: bars of rest pass without a strike. */
static int32_t
bar_left(const Kernel *k, const Moment *m, Py_ssize_t i)
{
    int32_t bar = k->at[m->position[i]].bar;
    for (;;) {
        int32_t behind = k->rest_after[bar];
        double over = m->due[i] - (k->bar_x[behind] + k->bar_length[behind]);
        if (behind <= bar || !(over > -k->number.earliest_leap))
            return bar;
        bar = behind;
    }
}

/* To another bar than the next, from one cell at the end of a bar. */
static int
leap_to(Kernel *k, const Moment *m, Py_ssize_t i, int32_t bar, int32_t to, double price)
{
    double over = m->due[i] - (k->bar_x[bar] + k->bar_length[bar]);
    double unplayed = k->wanted_by_end[bar] - k->at[m->position[i]].wanted_through;
    double scale = 0.5 / m->spread[i];
    Py_ssize_t due = due_at(k, k->first[to], k->bar_x[to] + over);
    if (room_for_ways(k, k->closes))
        return -1;
    for (Py_ssize_t c = 0; c < k->closes; c++) {
        Py_ssize_t target = due + k->close[c];
        if (target > k->positions - 1)
            target = k->positions - 1;
        if (target < 0)
            target = 0;
        double into = k->at[target].x - k->bar_x[to];
        double late = (over - into) * m->ratio[i];
        if (!(into >= 0 && into < k->room[to] && fabs(late) < k->number.astray))
            continue;
        double cost = late * late * scale;
        if (cost > k->number.astray_price)
            cost = k->number.astray_price;
        double skipped = k->at[target].wanted_before - k->at[k->first[to]].wanted_before;
        cost += price + k->number.missed * at_least_0(unplayed + skipped);
        if (cost < m->limit + k->number.on_time)
            add(k, m, (Way){.cost = cost, .late = late, .position = (int32_t)target,
                            .source = (int32_t)i, .kind = LEAP});
    }
    return 0;
}

/* At a bar line, in time, from one cell along any way of the form but straight on. */
static int
leaps_from(Kernel *k, const Moment *m, Py_ssize_t i, int32_t bar)
{
    double end = k->bar_x[bar] + k->bar_length[bar];
    const WaysOut *out = ways_out(k, bar);
    if (out == NULL)
        return -1;
    for (Py_ssize_t n = 0; n < out->count; n++) {
        double price = out->prices[n] + m->base[i];
        int32_t to = out->bars[n];
        if (price < m->limit && !(fabs(k->bar_x[to] - end) < 1e-6) &&
            leap_to(k, m, i, bar, to, price))
            return -1;
    }
    return 0;
}

/* From the first few cells of each bar that are at its end. */
static int
leaps(Kernel *k, const Moment *m)
{
    int failed = 0;
    Py_ssize_t i;
    for (i = 0; i < m->count && !failed; i++) {
        int32_t bar = bar_left(k, m, i);
        double over = m->due[i] - (k->bar_x[bar] + k->bar_length[bar]);
        if (over > -k->number.earliest_leap && over < k->onward_room[bar] &&
            k->seen[bar]++ < k->number.leaving)
            failed = leaps_from(k, m, i, bar);
    }
    while (i--)
        k->seen[bar_left(k, m, i)] = 0;
    return failed;
}

/* Cheaper restarts from one cell. */
static int
lead(Kernel *k, const Moment *m, int32_t i)
{
    PyObject *answer =
        PyObject_CallFunction(k->ask_restarting, "i", (int)k->at[m->position[i]].bar);
    Py_buffer view;
    if (answer == NULL)
        return -1;
    int failed = kernel_table(answer, &view, "d", k->bars, "prices of restarts");
    if (!failed) {
        const double *prices = view.buf;
        for (Py_ssize_t bar = 0; bar < k->bars; bar++) {
            double price = prices[bar] + m->cost[i];
            if (k->leader[bar] < 0 || price < k->best[bar]) {
                k->best[bar] = price;
                k->leader[bar] = i;
            }
        }
        PyBuffer_Release(&view);
    }
    Py_DECREF(answer);
    return failed;
}

/* From the cheapest cells, one of each bar. */
static int
from_leaders(Kernel *k, const Moment *m, int (*go)(Kernel *, const Moment *, int32_t))
{
    int failed = 0;
    int32_t i;
    for (i = 0; i < m->count && i < k->number.leaders && !failed; i++)
        if (k->seen[k->at[m->position[i]].bar]++ == 0)
            failed = go(k, m, i);
    while (i--)
        k->seen[k->at[m->position[i]].bar] = 0;
    return failed;
}

/* Breaking off and taking up again at the beginning of a bar, after any time. */
static int
restarts(Kernel *k, const Moment *m)
{
    int32_t here = m->position[0], ahead = k->ahead[here * k->many_ahead];
    double wait = (k->at[ahead].x - k->at[here].x) * m->ratio[0];
    if (wait > k->number.longest_wait)
        wait = k->number.longest_wait;
    if (m->time - m->beat_time[0] - wait < k->number.halt)
        return 0;
    memset(k->leader, -1, (size_t)k->bars * sizeof(int32_t));
    int failed = room_for_ways(k, 2 * k->bars) || from_leaders(k, m, lead);
    for (int entry = 0; entry < 2 && !failed; entry++)
        for (Py_ssize_t bar = 0; bar < k->bars; bar++)
            if (!entry || k->entry[bar] != k->first[bar])
                add(k, m, (Way){.cost = k->best[bar], .source = k->leader[bar],
                                .position = entry ? k->entry[bar] : k->first[bar],
                                .kind = RESTART});
    return failed;
}

/* To the beginning of a bar whose line comes before its time. */
static void
begin_early(Kernel *k, const Moment *m, int32_t i, int32_t to, int kind, double price)
{
    for (int entry = 0; entry < 2; entry++)
        if (!entry || k->entry[to] != k->first[to])
            add(k, m, (Way){.cost = m->cost[i] + price, .source = i, .kind = (int16_t)kind,
                            .position = entry ? k->entry[to] : k->first[to]});
}

/* A bar line before its time, from one cell: the bar is cut short, or begun again without a
   halt. */
static int
bar_line_from(Kernel *k, const Moment *m, int32_t i)
{
    int32_t bar = k->at[m->position[i]].bar;
    double into = m->due[i] - k->bar_x[bar];
    if (!(k->number.earliest_leap <= into && into < k->bar_length[bar] - k->number.astray))
        return 0;
    const WaysOut *out = ways_out(k, bar);
    if (out == NULL || room_for_ways(k, 2 * (out->count + 1)))
        return -1;
    for (Py_ssize_t n = 0; n < out->count; n++)
        if (out->prices[n] == 0.0)
            begin_early(k, m, i, out->bars[n], SHORT, k->number.short_bar);
    begin_early(k, m, i, bar, RESTART, k->number.unhalted);
    return 0;
}

/* Every way to place a strike. */
static int
all_ways(Kernel *k, Moment *m)
{
    k->ways_found = 0;
    if (m->count == 0)
        return starting(k, m);
    m->limit = m->cost[0] + k->number.beam;
    for (Py_ssize_t i = 0; i < m->count; i++) {
        double elapsed = m->time - m->beat_time[i];
        m->elapsed[i] = elapsed;
        m->due[i] = k->at[m->position[i]].x + elapsed / m->ratio[i];
        m->spread[i] = k->number.scatter_variance +
                       (m->doubt[i] + k->number.drift_variance) * (elapsed * elapsed);
        m->base[i] = m->cost[i] + 0.5 * log(m->spread[i] / k->number.scatter_variance) -
                     k->number.on_time;
        k->cell_bucket[i] = bucket_of(k, m->ratio[i]);
    }
    if (near(k, m) || staying(k, m) || halted(k, m) || leaps(k, m) || restarts(k, m) ||
        from_leaders(k, m, bar_line_from))
        return -1;
    return starting(k, m);
}

/* -- the cheapest of them ---------------------------------------------------------------- */

static int
cheaper(const Way *ways, int32_t one, int32_t other)
{
    if (ways[one].cost != ways[other].cost)
        return ways[one].cost < ways[other].cost;
    return one < other;
}

/* Sort `chosen` by cost, what was found first before what costs the same; by merging. */
static void
sort_chosen(Kernel *k, Py_ssize_t count)
{
    for (Py_ssize_t width = 1; width < count; width *= 2) {
        for (Py_ssize_t low = 0; low < count; low += 2 * width) {
            Py_ssize_t middle = low + width < count ? low + width : count;
            Py_ssize_t high = low + 2 * width < count ? low + 2 * width : count;
            Py_ssize_t left = low, right = middle;
            for (Py_ssize_t to = low; to < high; to++) {
                int from_right = left == middle ||
                    (right < high && cheaper(k->ways, k->chosen[right], k->chosen[left]));
                k->sorted[to] = k->chosen[from_right ? right++ : left++];
            }
        }
        int32_t *swapped = k->chosen;
        k->chosen = k->sorted;
        k->sorted = swapped;
    }
}

static size_t
slot_of(const Kernel *k, const Way *way)
{
    return ((size_t)way->position * (size_t)k->buckets + (size_t)way->bucket) * 2 +
           (way->kind == ORNAMENT);
}

/* The cheapest way to each position and tempo within the beam, in `chosen`; how many. */
static Py_ssize_t
choose(Kernel *k)
{
    double cheapest = INFINITY;
    Py_ssize_t count = 0;
    for (Py_ssize_t i = 0; i < k->ways_found; i++)
        if (k->ways[i].cost < cheapest)
            cheapest = k->ways[i].cost;
    double dearest = cheapest + k->number.beam;
    for (Py_ssize_t i = 0; i < k->ways_found; i++) {
        if (!(k->ways[i].cost < dearest))
            continue;
        int32_t *slot = &k->slot[slot_of(k, &k->ways[i])];
        if (*slot == 0) {
            k->chosen[count++] = (int32_t)i;
            *slot = (int32_t)count;
        } else if (k->ways[i].cost < k->ways[k->chosen[*slot - 1]].cost)
            k->chosen[*slot - 1] = (int32_t)i;
    }
    for (Py_ssize_t i = 0; i < count; i++)
        k->slot[slot_of(k, &k->ways[k->chosen[i]])] = 0;
    sort_chosen(k, count);
    return count < k->number.cells ? count : (Py_ssize_t)k->number.cells;
}

/* -- the cells after the strike ----------------------------------------------------------- */

typedef struct {
    int32_t *position;
    double *cost, *beat_time, *ratio, *doubt, *amiss;
    int16_t *back;
    int8_t *kind;
} After;

static double
within(double value, double low, double high)
{
    value = value > low ? value : low;
    return value < high ? value : high;
}

/* Beat and tempo of a hypothesis after this way. */
static void
carry(const Kernel *k, const Moment *m, const Way *way, const After *after, Py_ssize_t to)
{
    int32_t source = way->source;
    after->position[to] = way->position;
    after->cost[to] = way->cost;
    after->back[to] = (int16_t)source;
    after->kind[to] = (int8_t)way->kind;
    after->amiss[to] = way->kind == ORNAMENT ? m->amiss[source]
                                             : amiss_after(k, m, way, same_sign(k, m, way));
    if (way->kind == START) {
        after->beat_time[to] = m->time;
        after->doubt[to] = k->number.start_doubt;
        after->ratio[to] = m->count ? within(way->late, k->number.slowest, k->number.fastest)
                                    : way->late;
        return;
    }
    int moved = way->kind == ONWARD || way->kind == LEAP;
    double late = moved ? within(way->late, -k->number.pulling, k->number.pulling) : 0.0;
    double span = m->time - late - m->beat_time[source], doubt = m->doubt[source];
    span = span > 1e-3 ? span : 1e-3;
    double strength = doubt * span * span;
    strength /= strength + 2 * k->number.scatter_variance;
    double ratio = m->ratio[source] * (1 + strength * late / span);
    after->ratio[to] = within(ratio, k->number.slowest, k->number.fastest);
    after->doubt[to] = moved ? doubt * (1 - strength) + k->number.bend_variance * span : doubt;
    after->beat_time[to] = way->kind == ORNAMENT || way->kind == BESIDE
                               ? m->beat_time[source]
                               : m->time - (1 - k->number.pull) * late;
}

/* The best hypothesis on a bar line goes on again at other ratios: which, and how many. */
static Py_ssize_t
other_tempi(const Kernel *k, const Moment *m, double others[MOST_TURNS])
{
    const Way *best = &k->ways[k->chosen[0]];
    int32_t bar = k->at[best->position].bar;
    if (best->kind != ONWARD || best->position != k->first[bar])
        return 0;
    double ratio[1], unused[4];
    int32_t position[1];
    int16_t back[1];
    int8_t kind[1];
    After after = {position, &unused[0], &unused[1], ratio, &unused[2], &unused[3], back, kind};
    carry(k, m, best, &after, 0);
    const double *turns = k->opens[bar] ? k->section_turns : k->turns;
    Py_ssize_t all = k->opens[bar] ? k->all_section_turns : k->all_turns, count = 0;
    for (Py_ssize_t n = 0; n < all && count < MOST_TURNS; n++) {
        double tried = *ratio * turns[n];
        if (k->number.slowest < tried && tried < k->number.fastest)
            others[count++] = tried;
    }
    return count;
}

/* The best hypothesis again at another tempo. */
static void
twin(const Kernel *k, const After *after, Py_ssize_t to, double ratio)
{
    int opens = k->opens[k->at[after->position[0]].bar];
    after->position[to] = after->position[0];
    after->cost[to] = after->cost[0] + (opens ? k->number.tempo_section : k->number.tempo_jump);
    after->beat_time[to] = after->beat_time[0];
    after->ratio[to] = ratio;
    after->doubt[to] = after->doubt[0];
    after->amiss[to] = after->amiss[0];
    after->back[to] = after->back[0];
    after->kind[to] = after->kind[0];
}

/* Position, cost, beat time, ratio, doubt, what is amiss, back pointer and kind of each cell,
   as bytes. */
static PyObject *
cells_after(Kernel *k, const Moment *m)
{
    static const int sizes[8] = {4, 8, 8, 8, 8, 8, 2, 1};
    Py_ssize_t count = choose(k);
    double others[MOST_TURNS];
    Py_ssize_t more = count ? other_tempi(k, m, others) : 0;
    char *to[8];
    PyObject *found = PyTuple_New(8);
    for (int n = 0; n < 8 && found != NULL; n++) {
        PyObject *bytes = PyBytes_FromStringAndSize(NULL, (count + more) * sizes[n]);
        if (bytes == NULL || PyTuple_SetItem(found, n, bytes)) {
            Py_CLEAR(found);
            break;
        }
        to[n] = PyBytes_AsString(bytes);
    }
    if (found == NULL)
        return NULL;
    After after = {(int32_t *)to[0], (double *)to[1], (double *)to[2], (double *)to[3],
                   (double *)to[4],  (double *)to[5], (int16_t *)to[6], (int8_t *)to[7]};
    for (Py_ssize_t i = 0; i < count; i++)
        carry(k, m, &k->ways[k->chosen[i]], &after, i);
    for (Py_ssize_t n = 0; n < more; n++)
        twin(k, &after, count + n, others[n]);
    return found;
}

PyObject *
kernel_step(Kernel *k, double time, double since, double outside, double suits,
            const Py_buffer *view)
{
    Moment m = {.time = time, .since = since, .outside = outside, .suits = suits, .heard = view[0].buf,
                .place = view[1].buf, .count = view[2].len / 4, .position = view[2].buf,
                .cost = view[3].buf, .beat_time = view[4].buf, .ratio = view[5].buf,
                .doubt = view[6].buf, .amiss = view[7].buf};
    if (room_for_cells(k, m.count) ||
        kernel_all_within(m.position, m.count, k->positions, "position"))
        return NULL;
    for (Py_ssize_t harmony = 0; harmony < k->harmonies; harmony++) {
        k->lacking[harmony] = at_least_0(-m.heard[harmony]);
        k->first_heard[harmony] = m.heard[harmony] + beyond(k, k->lacking[harmony]);
    }
    m.elapsed = k->of_cells;
    m.due = m.elapsed + m.count;
    m.spread = m.due + m.count;
    m.base = m.spread + m.count;
    return all_ways(k, &m) ? NULL : cells_after(k, &m);
}
