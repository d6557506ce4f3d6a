/* What a kernel keeps of a song, shared by the step (step.c) and what Python sees of it
   (kernel.c). */

#ifndef EVALUATOR_FOLLOW_KERNEL_H
#define EVALUATOR_FOLLOW_KERNEL_H

#define PY_SSIZE_T_CLEAN
#define Py_LIMITED_API 0x030B0000
#include <Python.h>

#include <stddef.h>
#include <stdint.h>
#include <string.h>

enum { START, ONWARD, PAUSE, LEAP, RESTART, ORNAMENT, SHORT, BESIDE };

/* Numbers that Python gives by name. */
#define NUMBERS(X)                                                                          \
    X(beam) X(cells) X(scatter_variance) X(drift_variance) X(bend_variance) X(on_time)      \
    X(astray_price) X(pause) X(pull) X(tempo_jump) X(tempo_section) X(again) X(missed) X(ornament) X(echo)   \
    X(wrong) X(earliest_leap) X(leaving) X(halting) X(leaders) X(halt) X(astray) X(pulling) \
    X(beside) X(hasty_price) X(hasty) X(apiece)                                             \
    X(longest_wait) X(short_bar) X(unhalted) X(start_doubt) X(slowest) X(fastest) X(bridgeable)

/* Tables that Python gives by name, floating and whole, and their lengths: of positions,
   bars, beginnings, and a few that have lengths of their own. */
#define FLOATS(X)                                                                           \
    X(x, positions) X(wanted_before, positions) X(wanted_through, positions) X(bar_x, bars) \
    X(bar_length, bars) X(room, bars) X(onward_room, bars) X(wanted_by_end, bars)           \
    X(start_cost, starts) X(start_ratio, starts) X(tempo_bounds, buckets)   \
    X(turns, all_turns) X(section_turns, all_section_turns)
#define WHOLES(X)                                                                           \
    X(bar, positions) X(harmony, positions) X(kind, positions) X(span, positions)           \
    X(ahead, all_ahead) X(first, bars) X(rest_after, bars) X(entry, bars) X(opens, bars)    \
    X(start_position, starts) X(start_loose, starts) X(near, nears) X(close, closes)

typedef struct {
    double cost, late; /* late: seconds; at a start the ratio of played to written time */
    int32_t position, source, bucket;
    int16_t kind;
} Way;

/* What a way to a position asks for, together in memory. */
typedef struct {
    double x, wanted_before, wanted_through;
    int32_t bar, harmony, kind, span;
} Place;

/* Ways out of one bar that may be cheap enough to be taken. */
typedef struct {
    Py_ssize_t count;
    int32_t *bars; /* NULL: not asked for yet */
    double *prices;
} WaysOut;

typedef struct {
    PyObject_HEAD
#define NUMBER(name) double name;
    struct { NUMBERS(NUMBER) } number;
#undef NUMBER
#define TABLE(name, size) double *name;
    FLOATS(TABLE)
#undef TABLE
#define TABLE(name, size) int32_t *name;
    WHOLES(TABLE)
#undef TABLE
    Py_ssize_t positions, bars, starts, buckets, all_ahead, nears, closes;
    Py_ssize_t all_turns, all_section_turns;
    Py_ssize_t harmonies, kinds, many_ahead;
    PyObject *ask_leaving, *ask_restarting;
    Place *at;    /* of each position */
    WaysOut *out; /* of each bar */
    Way *ways;
    Py_ssize_t ways_found, ways_room;
    int32_t *chosen, *sorted; /* places in `ways`, as many as there is room for ways */
    int32_t *slot;            /* of each position, tempo and whether an ornament: place in
                                 `chosen` from 1, 0 for none */
    int32_t *seen;            /* of each bar: hypotheses met in it so far */
    double *best;             /* of each bar: the cheapest restart, and from which cell */
    int32_t *leader;
    double *lacking, *first_heard; /* of each harmony: what the strike lacks of another chord,
                                      and its gain as the first under a sign */
    double *of_cells; /* four numbers of each cell, and its bucket of tempo */
    int32_t *cell_bucket;
    Py_ssize_t cells_room;
    int busy;
} Kernel;

/* The memory at the address of a pointer, made to hold so many; -1 with an exception set. */
int kernel_grow(void *block, Py_ssize_t count, size_t size);

/* A contiguous table of one kind of number, "d", "i" or "h"; any length if `length` is -1. */
int kernel_table(PyObject *from, Py_buffer *view, const char *format, Py_ssize_t length,
                 const char *name);

/* Whether no number is below 0 or from `end` on: 0, or -1 with an exception set. */
int kernel_all_within(const int32_t *numbers, Py_ssize_t count, Py_ssize_t end, const char *name);

/* The cells after a strike: of its gains and the cells before, in the order of `step`.
   `since`: seconds since the strike before; `outside`: the price of beginning with it, for
   the strikes before; `suits`: its gain on every way. */
PyObject *kernel_step(Kernel *k, double time, double since, double outside, double suits,
                      const Py_buffer *view);

#endif
