/* The steps of engcalc/system/warmup.py in plain C, double precision: valve, fan, branch flows, the implicit midpoint
 * rule and the cabin, line for line. What is renewed every few seconds (struct renewed) and the heat of each step come
 * in as tables that a run of the product left: they are not computed here. Names are those of the product; units SI.
 *
 * Structs hold doubles only, and warmup_steps.py reads their fields from this text. CELLS, SHARP, HEATER_MOST and
 * CLUTCH_LEAST are given to the compiler.
 */
#include <math.h>
#include <stdint.h>

#define KEPT (1.0 + SHARP)
#define TINY 1e-9
#define SERIES 12

enum fan_kind { FAN_AS_IT_IS, FAN_ELECTRIC, FAN_CLUTCH };

/* fixed numbers of one member */
struct fixed {
    double w_hot, w_block, w_engine, w_upper, w_cell, w_lower, w_hose, w_core, w_cabin, w_interior;
    double h_hot, h_block, h_air, UA_cabin, UA_interior, den_hot, den_block, keep_wax, keep_sensor;
    double G_upper, G_lower, G_hose, radiator_hoses, rest_upper, rest_lower, rest_hose;
    double air_upper, air_lower, air_hose, air_all;
    double a0, a1, a2, b0, b1, b2, there0, there1, there2, b_valve, a_jacket, b_jacket, fall;
    double start_open, span, hysteresis, leak, low, high, on, off, ambient, upstream, inverse_scale, fresh;
};

/* what a renewal leaves, of one member */
struct renewed {
    double mu, rho, rho_cp, rest_resistance, ratio, heater_G, blown, auxiliary;
};

/* state of one member */
struct state {
    double T_hot, T_block, T, T_upper, T_lower, T_hose, T_core, T_cabin, T_interior;
    double wax, wax_before, sensor, opening, engagement, pressure, head_before, lost, released, vent;
    double cells[CELLS];
};

struct run {
    int64_t members, steps, blocks, engagements, every; /* every: steps between samples */
    int64_t outlet, valve_there, bypass_closes, fan, has_upstream;
    double h;                      /* s; half a step */
    const int64_t *begins;            /* (blocks + 1): first step of each renewal's block */
    const int64_t *row_of, *node;     /* (steps): row of the drive, lower node of the air */
    const double *weight;          /* (steps): of the node above */
    const double *heads;           /* (rows, members) */
    const double *air_C, *air_UA;  /* (nodes, engagements, members) */
    const double *recirculation;   /* (nodes, members) */
    const double *heat, *extra;    /* (steps, members) */
    const struct fixed *fixed;     /* (members) */
    const struct renewed *renewed; /* (blocks, members) */
    struct state *state;           /* (members) */
    double *samples;               /* (samples, SERIES, members) */
};

static inline double least(double a, double b) { return a < b ? a : b; }
static inline double most(double a, double b) { return a > b ? a : b; }

static void turn_fan(const struct run *r, const struct fixed *c, struct state *s)
{
    if (r->fan == FAN_ELECTRIC) {
        double runs_on = c->off >= s->T ? 0.0 : s->engagement;
        s->engagement = c->on <= s->T ? 1.0 : runs_on;
    } else if (r->fan == FAN_CLUTCH) {
        double share = least(most((s->T - c->off) / most(c->on - c->off, 1.0), 0.0), 1.0);
        s->engagement = CLUTCH_LEAST + (1.0 - CLUTCH_LEAST) * share;
    }
}

static void move_valve(const struct run *r, const struct fixed *c, struct state *s, double *passage, double *other)
{
    if (r->valve_there) {
        double ahead = s->wax + 0.5 * (s->wax - s->wax_before);
        double warming = least(most((ahead - c->start_open) / c->span, c->low), c->high);
        double cooling = least(most((ahead + c->hysteresis - c->start_open) / c->span, c->low), c->high);
        s->opening = least(most(s->opening, warming), cooling);
    }
    *passage = most(c->leak + (1.0 - c->leak) * s->opening, 1e-6);
    *other = r->bypass_closes ? most(1.0 - s->opening, 1e-6) : 1.0;
}

static void branch_flows(const struct fixed *c, const struct renewed *n, struct state *s, double head, double passage,
                         double other, double V[3])
{
    double mu = n->mu, rho = n->rho, H = head * rho + 1e-12;
    double A0 = c->a0 * mu, A1 = c->a1 * mu, A2 = c->a2 * mu / other;
    double B0 = (c->b0 + c->b_valve / (passage * passage)) * rho;
    double B1 = c->b1 * rho, B2 = c->b2 * rho / (other * other);
    double a_j = c->a_jacket * mu, b_j = (c->b_jacket + c->fall) * rho;
    double t0 = c->there0, t1 = c->there1, t2 = c->there2;
    double P = s->pressure * (H / s->head_before);
    double s0 = sqrt(A0 * A0 + 4.0 * B0 * P), s1 = sqrt(A1 * A1 + 4.0 * B1 * P), s2 = sqrt(A2 * A2 + 4.0 * B2 * P);
    double all = 2.0 * P * (t0 / (A0 + s0) + t1 / (A1 + s1) + t2 / (A2 + s2));
    double rate = t0 / s0 + t1 / s1 + t2 / s2;
    double step = (H - (b_j * all + a_j) * all - P) / (1.0 + (2.0 * b_j * all + a_j) * rate);
    P = least(most(P + step, 1e-3 * P), H);
    s->pressure = P;
    s->head_before = H;
    V[0] = t0 * 2.0 * P / (A0 + sqrt(A0 * A0 + 4.0 * B0 * P));
    V[1] = t1 * 2.0 * P / (A1 + sqrt(A1 * A1 + 4.0 * B1 * P));
    V[2] = t2 * 2.0 * P / (A2 + sqrt(A2 * A2 + 4.0 * B2 * P));
}

/* A table at engagement j of the fan, between two nodes of the air. */
static inline double at_node(const double *table, int64_t stride, double w)
{
    return w == 0.0 ? table[0] : table[0] + w * (table[stride] - table[0]);
}

static double engaged(const struct run *r, const double *table, int64_t k, int64_t i, double e)
{
    int64_t m = r->members, count = r->engagements, stride = count * m;
    const double *here = table + r->node[k] * stride + i;
    double w = r->weight[k], below = at_node(here, stride, w), total = below;
    if (count == 2)
        return below + e * (at_node(here + m, stride, w) - below);
    for (int64_t j = 0; j < count - 1; j++) {
        double above = at_node(here + (j + 1) * m, stride, w);
        total += least(most(e * (double)(count - 1) - (double)j, 0.0), 1.0) * (above - below);
        below = above;
    }
    return total;
}

static void cabin_step(double h, const struct fixed *c, const struct renewed *n, struct state *s, double heat,
                       double T_in)
{
    double Ta = c->ambient, dt = 2.0 * h, leaves = c->UA_cabin + c->fresh * n->blown;
    double w = c->w_cabin, wi = c->w_interior, inner = 1.0 / (1.0 + wi * c->UA_interior);
    double given = c->UA_interior * s->T_interior * inner;
    double mid = (s->T_cabin + w * (heat + n->auxiliary + leaves * Ta + given))
                 / (1.0 + w * (leaves + c->UA_interior * inner));
    double interior = (s->T_interior + wi * c->UA_interior * mid) * inner;
    s->T_cabin = 2.0 * mid - s->T_cabin;
    s->T_interior = 2.0 * interior - s->T_interior;
    s->lost += dt * leaves * (mid - Ta);
    s->released += dt * n->auxiliary;
    s->vent = n->blown > 0.0 ? T_in + (heat + n->auxiliary) / (n->blown + TINY) : mid;
}

/* A stirred lump with inflow a + b T_engine: its midpoint as *to_a + *to_b T_engine; without flow T/rest. */
static inline void flowing(double T, double w, double rest, double a, double b, double *to_a, double *to_b)
{
    double inverse = 1.0 / (rest + w);
    *to_a = (T + w * a) * inverse;
    *to_b = w * b * inverse;
}

struct asked { double Q, Q_x, C_r, C_h, C_b, g, T_e; };

static void advance(const struct run *r, const struct fixed *c, const struct renewed *n, struct state *s,
                    const struct asked *x)
{
    double Ta = c->ambient, C_r = x->C_r, C_h = x->C_h, C_b = x->C_b, g = x->g;
    double a_up, b_up, mid_a[CELLS], mid_b[CELLS];
    flowing(s->T_upper + c->air_upper, KEPT * c->w_upper * C_r, c->rest_upper, 0.0, 1.0, &a_up, &b_up);
    double a = KEPT * a_up, b = KEPT * b_up - SHARP;
    double w = KEPT * c->w_cell * C_r, wg = c->w_cell * g, inverse = 1.0 / (1.0 + w + wg), source = wg * x->T_e;
    for (int j = 0; j < CELLS; j++) {
        mid_a[j] = (s->cells[j] + w * a + source) * inverse;
        mid_b[j] = w * b * inverse;
        a = KEPT * mid_a[j] - SHARP * a;
        b = KEPT * mid_b[j] - SHARP * b;
    }
    double a_hose_low, b_hose_low, a_hose, b_hose;
    flowing(s->T_lower + c->air_lower, KEPT * c->w_lower * C_r, c->rest_lower, a, b, &a_hose_low, &b_hose_low);
    double a_low = KEPT * a_hose_low - SHARP * a, b_low = KEPT * b_hose_low - SHARP * b;
    flowing(s->T_hose + c->air_hose, c->w_hose * C_h, c->rest_hose, 0.0, 1.0, &a_hose, &b_hose);
    double G_h = least(n->heater_G, HEATER_MOST * C_h), g_h = G_h * C_h / (C_h - G_h + TINY);
    double T_in = Ta + (1.0 - c->fresh) * (s->T_cabin - Ta);
    w = c->w_core * C_h;
    inverse = 1.0 / (1.0 + w + c->w_core * g_h);
    double a_core = (s->T_core + w * a_hose + c->w_core * g_h * T_in) * inverse, b_core = w * b_hose * inverse;
    double a_hot = (s->T_hot + c->w_hot * x->Q) * c->den_hot, b_hot = c->w_hot * c->h_hot * c->den_hot;
    double a_block = (s->T_block + c->w_block * c->h_air * Ta) * c->den_block;
    double b_block = c->w_block * c->h_block * c->den_block;
    double out = C_r + C_h + c->h_hot + c->h_block;
    double brought = C_r * a_low + C_h * a_core + c->h_hot * a_hot + c->h_block * a_block + x->Q_x;
    double back = C_r * b_low + C_h * b_core + c->h_hot * b_hot + c->h_block * b_block;
    double T = (s->T + c->w_engine * brought) / (1.0 + c->w_engine * (out - back));
    double low = a_low + b_low * T, core = a_core + b_core * T, hose = a_hose + b_hose * T;
    double feed = r->outlet ? T : (C_r * low + C_h * core + C_b * T + TINY * T) / (C_r + C_h + C_b + TINY);
    cabin_step(r->h, c, n, s, g_h * (core - T_in), T_in);
    double radiator = 0.0, block = a_block + b_block * T, dt = 2.0 * r->h;
    double upper = a_up + b_up * T, lower = a_hose_low + b_hose_low * T;
    for (int j = 0; j < CELLS; j++) {
        double mid = mid_a[j] + mid_b[j] * T;
        radiator += mid;
        s->cells[j] = 2.0 * mid - s->cells[j];
    }
    s->T_upper = 2.0 * upper - s->T_upper;
    s->T_lower = 2.0 * lower - s->T_lower;
    s->T_hose = 2.0 * hose - s->T_hose;
    s->T_core = 2.0 * core - s->T_core;
    s->T_hot = 2.0 * (a_hot + b_hot * T) - s->T_hot;
    s->T_block = 2.0 * block - s->T_block;
    s->T = 2.0 * T - s->T;
    s->wax_before = s->wax;
    s->wax += 2.0 * c->keep_wax * (feed - s->wax);
    s->sensor += 2.0 * c->keep_sensor * (T - s->sensor);
    double surfaces = c->h_air * block + c->G_upper * upper + c->G_lower * lower + c->G_hose * hose - c->air_all;
    s->lost += dt * (g * (radiator - CELLS * x->T_e) + surfaces);
    s->released += dt * (x->Q + x->Q_x);
}

static void one_step(const struct run *r, int64_t k, int64_t i, const struct fixed *c, const struct renewed *n,
                     struct state *s)
{
    int64_t m = r->members;
    double passage, other, V[3];
    turn_fan(r, c, s);
    move_valve(r, c, s, &passage, &other);
    branch_flows(c, n, s, r->heads[r->row_of[k] * m + i], passage, other, V);
    double C_r = n->rho_cp * V[0];
    double C_air = engaged(r, r->air_C, k, i, s->engagement), UA_air = engaged(r, r->air_UA, k, i, s->engagement);
    double UA = 1.0 / (c->inverse_scale / UA_air + n->rest_resistance);
    double again = at_node(r->recirculation + r->node[k] * m + i, m, r->weight[k]);
    double e = 1.0 - exp(-UA / (C_air + TINY));
    double whole = n->ratio * C_air * e * (1.0 - again) / (1.0 - again + again * e);
    double u = most(whole - c->radiator_hoses, 0.0) / (CELLS * (C_r + TINY));
    double g = (C_r + TINY) * most(u, KEPT * KEPT / (exp(-least(u, 30.0)) + SHARP) - KEPT);
    double T_e = c->ambient;
    if (r->has_upstream)
        T_e += c->upstream / (C_air + c->upstream / 60.0) / (1.0 - again);
    struct asked x = {r->heat[k * m + i], r->extra[k * m + i], C_r, n->rho_cp * V[1], n->rho_cp * V[2], g, T_e};
    advance(r, c, n, s, &x);
}

static void sample(const struct run *r, int64_t k, int64_t i, const struct state *s)
{
    if ((k + 1) % r->every != 0 && k != r->steps - 1)
        return;
    const double values[SERIES] = {s->T, s->sensor, s->T_upper, s->cells[CELLS - 1], s->T_lower, s->T_hose, s->T_core,
                                   s->T_cabin, s->vent, s->wax, s->opening, s->T_block};
    double *to = r->samples + (k / r->every) * SERIES * r->members + i;
    for (int j = 0; j < SERIES; j++)
        to[j * r->members] = values[j];
}

/* Every member through a renewal's block before the next block, as a program that renews must. */
void run_steps(const struct run *r)
{
    for (int64_t block = 0; block < r->blocks; block++)
        for (int64_t i = 0; i < r->members; i++) {
            const struct renewed *n = r->renewed + block * r->members + i;
            struct state s = r->state[i];
            for (int64_t k = r->begins[block]; k < r->begins[block + 1]; k++) {
                one_step(r, k, i, r->fixed + i, n, &s);
                sample(r, k, i, &s);
            }
            r->state[i] = s;
        }
}
