/* What Python sees of the follower's kernel: a song's tables in, cells in and out. Whatever
   comes is checked here, lengths when a kernel is made and with every step, and copied where
   it is kept; step.c then trusts it. */

#include "kernel.h"

/* `block`: the address of a pointer of any kind, hence the copying. */
int
kernel_grow(void *block, Py_ssize_t count, size_t size)
{
    void *grown;
    memcpy(&grown, block, sizeof grown);
    grown = PyMem_Realloc(grown, (size_t)(count ? count : 1) * size);
    if (grown == NULL) {
        PyErr_NoMemory();
        return -1;
    }
    memcpy(block, &grown, sizeof grown);
    return 0;
}

int
kernel_table(PyObject *from, Py_buffer *view, const char *format, Py_ssize_t length,
             const char *name)
{
    if (PyObject_GetBuffer(from, view, PyBUF_FORMAT | PyBUF_ND | PyBUF_C_CONTIGUOUS))
        return -1;
    /* A long is an int where both have four bytes. */
    int same = view->format != NULL && (strcmp(view->format, format) == 0 ||
               (*format == 'i' && strcmp(view->format, "l") == 0));
    if (!same || view->itemsize != (*format == 'd' ? 8 : *format == 'i' ? 4 : 2))
        PyErr_Format(PyExc_ValueError, "%s is not of type '%s'", name, format);
    else if (length >= 0 && view->len != length * view->itemsize)
        PyErr_Format(PyExc_ValueError, "%s has not the length %zd", name, length);
    else
        return 0;
    PyBuffer_Release(view);
    return -1;
}

int
kernel_all_within(const int32_t *numbers, Py_ssize_t count, Py_ssize_t end, const char *name)
{
    for (Py_ssize_t i = 0; i < count; i++)
        if (numbers[i] < 0 || numbers[i] >= end) {
            PyErr_Format(PyExc_ValueError, "%s has %d beyond 0 to %zd", name, (int)numbers[i],
                         end - 1);
            return -1;
        }
    return 0;
}

PyDoc_STRVAR(step_doc,
"step(time, outside, other, heard, place, position, cost, beat_time, ratio, doubt, "
"amiss, /)\n--\n\n"
"The cells after a strike, of those before it, as eight blocks of bytes.");

static PyObject *
Kernel_step(PyObject *self, PyObject *const *arguments, Py_ssize_t given)
{
    static const char *names[8] = {"heard", "place", "position", "cost",
                                   "beat_time", "ratio", "doubt", "amiss"};
    Kernel *k = (Kernel *)self;
    Py_buffer view[8];
    PyObject *found = NULL;
    int held = 0;
    if (given != 12) {
        PyErr_SetString(PyExc_TypeError,
                        "step takes two times, a price, a gain and eight tables");
        return NULL;
    }
    double time = PyFloat_AsDouble(arguments[0]), since = PyFloat_AsDouble(arguments[1]);
    double outside = PyFloat_AsDouble(arguments[2]), suits = PyFloat_AsDouble(arguments[3]);
    if (PyErr_Occurred())
        return NULL;
    if (k->busy) {
        PyErr_SetString(PyExc_RuntimeError, "a step within a step");
        return NULL;
    }
    for (; held < 8; held++) {
        const char *format = held == 2 ? "i" : "d";
        Py_ssize_t length = held > 2 ? view[2].len / 4 : -1;
        if (kernel_table(arguments[held + 4], &view[held], format, length, names[held]))
            break;
    }
    if (held == 8 && (view[0].len / 8 < k->harmonies || view[1].len / 8 < k->kinds))
        PyErr_SetString(PyExc_ValueError, "heard or place has not as many as the song");
    else if (held == 8) {
        k->busy = 1;
        found = kernel_step(k, time, since, outside, suits, view);
        k->busy = 0;
    }
    while (held--)
        PyBuffer_Release(&view[held]);
    return found;
}

/* A copy of one table, the first time with the length it is to have with others. */
static int
copy_table(PyObject *tables, const char *name, const char *format, void *to, Py_ssize_t *count)
{
    PyObject *from = PyDict_GetItemString(tables, name);
    Py_buffer view;
    if (from == NULL) {
        PyErr_Format(PyExc_ValueError, "no table %s", name);
        return -1;
    }
    if (kernel_table(from, &view, format, *count, name))
        return -1;
    int failed = kernel_grow(to, view.len / view.itemsize, (size_t)view.itemsize);
    if (!failed) {
        void *block;
        memcpy(&block, to, sizeof block);
        memcpy(block, view.buf, (size_t)view.len);
        *count = view.len / view.itemsize;
        if (*count == 0 || *count > INT32_MAX / 256) {
            PyErr_Format(PyExc_ValueError, "%s is empty or too long", name);
            failed = -1;
        }
    }
    PyBuffer_Release(&view);
    return failed;
}

static int
copy_number(PyObject *numbers, const char *name, double *to)
{
    PyObject *from = PyDict_GetItemString(numbers, name);
    if (from == NULL) {
        PyErr_Format(PyExc_ValueError, "no number %s", name);
        return -1;
    }
    *to = PyFloat_AsDouble(from);
    return PyErr_Occurred() ? -1 : 0;
}

/* Everything an index of one table may point to is there. */
static int
checked(Kernel *k)
{
    k->many_ahead = k->all_ahead / k->positions;
    for (Py_ssize_t i = 0; i < k->positions; i++) {
        k->harmonies = k->harmony[i] >= k->harmonies ? k->harmony[i] + 1 : k->harmonies;
        k->kinds = k->kind[i] >= k->kinds ? k->kind[i] + 1 : k->kinds;
    }
    if (k->many_ahead < 1 || k->many_ahead * k->positions != k->all_ahead) {
        PyErr_SetString(PyExc_ValueError, "ahead has not as many for each position");
        return -1;
    }
    if (!(k->number.cells >= 1 && k->number.cells <= INT16_MAX - 2)) {
        PyErr_SetString(PyExc_ValueError, "too many cells, or none");
        return -1;
    }
    if (!(k->number.leaders >= 1)) {
        PyErr_SetString(PyExc_ValueError, "restarts need a leader");
        return -1;
    }
    return kernel_all_within(k->bar, k->positions, k->bars, "bar") ||
                   kernel_all_within(k->harmony, k->positions, k->harmonies, "harmony") ||
                   kernel_all_within(k->kind, k->positions, k->kinds, "kind") ||
                   kernel_all_within(k->ahead, k->all_ahead, k->positions, "ahead") ||
                   kernel_all_within(k->first, k->bars, k->positions, "first") ||
                   kernel_all_within(k->rest_after, k->bars, k->bars, "rest_after") ||
                   kernel_all_within(k->entry, k->bars, k->positions, "entry") ||
                   kernel_all_within(k->start_position, k->starts, k->positions, "start_position")
               ? -1
               : 0;
}

static int
gathered(Kernel *k)
{
    if (kernel_grow(&k->at, k->positions, sizeof(Place)))
        return -1;
    for (Py_ssize_t i = 0; i < k->positions; i++)
        k->at[i] = (Place){k->x[i],       k->wanted_before[i], k->wanted_through[i], k->bar[i],
                           k->harmony[i], k->kind[i],          k->span[i]};
    return 0;
}

static int
room_to_work(Kernel *k)
{
    Py_ssize_t slots = k->positions * k->buckets * 2;
    if (slots > INT32_MAX) {
        PyErr_SetString(PyExc_ValueError, "too many positions");
        return -1;
    }
    if (kernel_grow(&k->out, k->bars, sizeof(WaysOut)))
        return -1;
    memset(k->out, 0, (size_t)k->bars * sizeof(WaysOut));
    if (kernel_grow(&k->seen, k->bars, sizeof(int32_t)) ||
        kernel_grow(&k->best, k->bars, sizeof(double)) ||
        kernel_grow(&k->leader, k->bars, sizeof(int32_t)) ||
        kernel_grow(&k->lacking, k->harmonies, sizeof(double)) ||
        kernel_grow(&k->first_heard, k->harmonies, sizeof(double)))
        return -1;
    memset(k->seen, 0, (size_t)k->bars * sizeof(int32_t));
    /* Zeroed by the system where it is touched: most tempi of most positions never are. */
    k->slot = PyMem_Calloc((size_t)slots, sizeof(int32_t));
    if (k->slot == NULL)
        PyErr_NoMemory();
    return k->slot == NULL ? -1 : 0;
}

static int
copied(Kernel *k, PyObject *floats, PyObject *wholes, PyObject *numbers)
{
    k->positions = k->bars = k->starts = k->buckets = k->all_ahead = k->nears = k->closes = -1;
    k->all_turns = k->all_section_turns = -1;
#define TABLE(name, size)                                                                    \
    if (copy_table(floats, #name, "d", &k->name, &k->size))                         \
        return -1;
    FLOATS(TABLE)
#undef TABLE
#define TABLE(name, size)                                                                    \
    if (copy_table(wholes, #name, "i", &k->name, &k->size))                         \
        return -1;
    WHOLES(TABLE)
#undef TABLE
#define NUMBER(name)                                                                         \
    if (copy_number(numbers, #name, &k->number.name))                                        \
        return -1;
    NUMBERS(NUMBER)
#undef NUMBER
    return 0;
}

static PyObject *
Kernel_new(PyTypeObject *type, PyObject *arguments, PyObject *keywords)
{
    static char *names[] = {"floats", "wholes", "numbers", "leaving", "restarting", NULL};
    PyObject *floats, *wholes, *numbers, *leaving, *restarting;
    if (!PyArg_ParseTupleAndKeywords(arguments, keywords, "O!O!O!OO", names, &PyDict_Type,
                                     &floats, &PyDict_Type, &wholes, &PyDict_Type, &numbers,
                                     &leaving, &restarting))
        return NULL;
    PyObject *self = PyType_GenericAlloc(type, 0);
    if (self == NULL)
        return NULL;
    Kernel *k = (Kernel *)self;
    k->ask_leaving = Py_NewRef(leaving);
    k->ask_restarting = Py_NewRef(restarting);
    if (copied(k, floats, wholes, numbers) || checked(k) || gathered(k) || room_to_work(k)) {
        Py_DECREF(self);
        return NULL;
    }
    return self;
}

static int
Kernel_traverse(PyObject *self, visitproc visit, void *arg)
{
    Py_VISIT(Py_TYPE(self));
    Py_VISIT(((Kernel *)self)->ask_leaving);
    Py_VISIT(((Kernel *)self)->ask_restarting);
    return 0;
}

static int
Kernel_clear(PyObject *self)
{
    Py_CLEAR(((Kernel *)self)->ask_leaving);
    Py_CLEAR(((Kernel *)self)->ask_restarting);
    return 0;
}

static void
Kernel_dealloc(PyObject *self)
{
    Kernel *k = (Kernel *)self;
    PyTypeObject *type = Py_TYPE(self);
    PyObject_GC_UnTrack(self);
    Kernel_clear(self);
    for (Py_ssize_t bar = 0; k->out != NULL && bar < k->bars; bar++) {
        PyMem_Free(k->out[bar].bars);
        PyMem_Free(k->out[bar].prices);
    }
#define TABLE(name, size) PyMem_Free(k->name);
    FLOATS(TABLE)
    WHOLES(TABLE)
#undef TABLE
    void *blocks[] = {k->at, k->out, k->ways, k->chosen, k->sorted, k->seen, k->best,
                      k->leader, k->lacking, k->first_heard, k->of_cells, k->cell_bucket};
    for (size_t n = 0; n < sizeof blocks / sizeof *blocks; n++)
        PyMem_Free(blocks[n]);
    PyMem_Free(k->slot);
    PyObject_GC_Del(self);
    Py_DECREF(type);
}

static PyMethodDef methods[] = {
    {"step", (PyCFunction)(void (*)(void))Kernel_step, METH_FASTCALL, step_doc},
    {NULL, NULL, 0, NULL},
};

PyDoc_STRVAR(kernel_doc,
"Kernel(floats, wholes, numbers, leaving, restarting)\n--\n\n"
"The step of one song. Tables and numbers by their names; `leaving` and `restarting` are\n"
"asked for the prices of a bar's ways out, bars and prices, and of all bars to begin with.");

static PyType_Slot slots[] = {
    {Py_tp_doc, (void *)kernel_doc},     {Py_tp_new, Kernel_new},
    {Py_tp_dealloc, Kernel_dealloc},     {Py_tp_traverse, Kernel_traverse},
    {Py_tp_clear, Kernel_clear},         {Py_tp_methods, methods},
    {0, NULL},
};

static PyType_Spec spec = {
    .name = "evaluator.follow.kernel.Kernel",
    .basicsize = sizeof(Kernel),
    .flags = Py_TPFLAGS_DEFAULT | Py_TPFLAGS_HAVE_GC | Py_TPFLAGS_IMMUTABLETYPE,
    .slots = slots,
};

static int
fill(PyObject *module)
{
    PyObject *type = PyType_FromModuleAndSpec(module, &spec, NULL);
    if (type == NULL)
        return -1;
    int failed = PyModule_AddType(module, (PyTypeObject *)type);
    Py_DECREF(type);
    return failed;
}

/* Cells before, in place of cells: what their back pointers say; -1 stays. */
static int
go_back(int16_t *cells, Py_ssize_t count, PyObject *pointers)
{
    Py_buffer view;
    if (pointers == NULL || kernel_table(pointers, &view, "h", -1, "back"))
        return -1;
    const int16_t *back = view.buf;
    Py_ssize_t end = view.len / 2;
    int failed = 0;
    for (Py_ssize_t i = 0; i < count && !failed; i++) {
        if (cells[i] >= end) {
            PyErr_SetString(PyExc_ValueError, "back points beyond the cells");
            failed = -1;
        } else if (cells[i] >= 0)
            cells[i] = back[cells[i]];
    }
    PyBuffer_Release(&view);
    return failed;
}

PyDoc_STRVAR(ancestors_doc,
"ancestors(count, backs, /)\n--\n\n"
"The cell from which each of so many comes, -1 if none, as bytes: back pointers of two\n"
"bytes, those of the latest strike first.");

static PyObject *
ancestors(PyObject *Py_UNUSED(module), PyObject *arguments)
{
    Py_ssize_t count;
    PyObject *backs;
    if (!PyArg_ParseTuple(arguments, "nO!", &count, &PyList_Type, &backs))
        return NULL;
    if (count < 0 || count > INT16_MAX) {
        PyErr_SetString(PyExc_ValueError, "too many cells");
        return NULL;
    }
    PyObject *found = PyBytes_FromStringAndSize(NULL, count * 2);
    if (found == NULL)
        return NULL;
    int16_t *cells = (int16_t *)PyBytes_AsString(found);
    for (Py_ssize_t i = 0; i < count; i++)
        cells[i] = (int16_t)i;
    for (Py_ssize_t n = 0; n < PyList_Size(backs); n++)
        if (go_back(cells, count, PyList_GetItem(backs, n))) {
            Py_DECREF(found);
            return NULL;
        }
    return found;
}

static PyMethodDef functions[] = {
    {"ancestors", ancestors, METH_VARARGS, ancestors_doc},
    {NULL, NULL, 0, NULL},
};

static PyModuleDef_Slot module_slots[] = {{Py_mod_exec, fill}, {0, NULL}};

static PyModuleDef module = {
    PyModuleDef_HEAD_INIT,
    .m_name = "evaluator.follow.kernel",
    .m_doc = "One step of the follower, compiled; see evaluator/follow/compiled.py.",
    .m_methods = functions,
    .m_slots = module_slots,
};

PyMODINIT_FUNC
PyInit_kernel(void)
{
    return PyModuleDef_Init(&module);
}
