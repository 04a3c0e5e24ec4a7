/* The steps of engcalc/system/step.py in plain C, double precision: valve, fan, branch flows, the implicit midpoint
 * rule and the cabin, line for line. What is renewed every few seconds (struct renewed) and the heat of each step come
 * in as tables that a run of the product left: they are not computed here. Names are those of the product; units SI.
 *
 * Structs hold doubles only, and warmup_steps.py reads their fields from this text. CELLS, SHARP, HEATER_SIZE,
 * UPSTREAM_MOST and CLUTCH_LEAST are given to the compiler.
 */
#include <math.h>
#include <stdint.h>

#define KEPT (1.0 + SHARP)
#define LINE (CELLS + 2) /* lumps between the engine's outlet and inlet: upper hose, cells, lower hose */
#define TINY 1e-9
#define STILL 1e-15
#define SERIES 12

enum fan_kind { FAN_AS_IT_IS, FAN_ELECTRIC, FAN_CLUTCH };

/* fixed numbers of one member */
struct fixed {
    double w_upper, w_cell, w_face, w_lower, w_engine, w_hose, w_core, w_cabin;
    double h_hot, h_block, keep_hot, hot_by_Q, hot_by_T;
    double keep_interior, interior_gives, interior_takes, keep_sensor, lag, pull, settled;
    double start_open, per_span, play, leak, leak_rest, low, high, on, off;
    double G_upper, G_lower, G_hose, radiator_hoses, rest_upper, rest_lower, rest_hose;
    double air_hose, boiling, ambient, fresh_ambient, kept, inverse_scale, per_thinned;
};

/* what a renewal leaves, of one member */
struct renewed {
    double rho, rho_cp, viscous0, viscous1, viscous2, inertial0, inertial1, inertial2, squares0, squares1, squares2;
    double valve, viscous_jacket, inertial_jacket, rest_resistance, ratio;
    double heater_UA, blown, auxiliary, leaves, cabin_fixed, keep_cabin, quick_share;
    double h_air, air_all, keep_block, block_by_air, block_by_T, inner;
};

/* state of one member */
struct state {
    double T_hot, T_block, T, T_upper, T_lower, T_hose, T_core, T_cabin, T_interior;
    double wax, wax_ahead, sensor, opening, engagement, pressure, head_before, lost, released, vent;
    double T_return, flow_h, follows, thin;
    double cells[CELLS];
};

struct run {
    int64_t members, steps, blocks, engagements, every; /* every: steps between samples */
    int64_t outlet, feels_return, valve_there, bypass_closes, fan, has_upstream;
    double h;                      /* s; half a step */
    const int64_t *begins;            /* (blocks + 1): first step of each renewal's block */
    const int64_t *row_of, *node;     /* (steps): row of the drive, lower node of the air */
    const double *weight;          /* (steps): of the node above */
    const double *heads;           /* (rows, members), at warm idle */
    const double *quick_pump;      /* (rows, members): share by which a cold idle's whole rise turns the pump faster */
    const double *ahead;           /* (rows, members): heat of coolers ahead of the radiator */
    const double *air_C, *air_UA;  /* (nodes, 2, engagements, members): air not warmed and warmed */
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

/* Flow through the radiator's branch over the valve's passage. */
static double per_passage(const struct fixed *c, const struct renewed *n, double P, double opening)
{
    double passage = most(c->leak + c->leak_rest * opening, 1e-6), A = n->viscous0 * passage;
    double B = n->inertial0 * passage * passage + n->valve;
    return 2.0 * P / (A + sqrt(A * A + B * P));
}

/* What the wax feels at a lift x: (n0 + n1 x)/(d0 + d1 x). */
struct felt {
    double n0, n1, d0, d1;
};

static struct felt felt_at(const struct run *r, const struct fixed *c, const struct renewed *n, const struct state *s,
                           double P, double brought, double k)
{
    double leak = k * c->leak, grows = k * c->leak_rest;
    if (r->outlet) {
        double w = c->w_engine * n->rho_cp, V_h = 2.0 * P / (n->viscous1 + sqrt(n->squares1 + n->inertial1 * P));
        struct felt f = {s->T + c->w_engine * brought + w * V_h * s->T_core + w * leak * s->T_return,
                         w * grows * s->T_return, n->inner + w * V_h + w * leak, w * grows};
        return f;
    }
    double V_b = 2.0 * P / (n->viscous2 + sqrt(n->squares2 + n->inertial2 * P)), shuts = r->bypass_closes ? V_b : 0.0;
    struct felt f = {leak * s->T_return + s->flow_h * s->T_core + (V_b + STILL) * s->T,
                     grows * s->T_return - shuts * s->T, leak + s->flow_h + V_b + STILL, grows - shuts};
    return f;
}

/* Lift and wax ahead together, from what the wax feels at a lift. */
static double lift_ahead(const struct run *r, const struct fixed *c, const struct renewed *n, struct state *s,
                         double head, double brought)
{
    double before = s->opening, P = s->pressure * (head * n->rho + 1e-12) / s->head_before;
    struct felt f = felt_at(r, c, n, s, P, brought, per_passage(c, n, P, before));
    double feed = (f.n0 + f.n1 * before) / (f.d0 + f.d1 * before);
    double warming = ((s->wax + c->pull * feed) * c->settled - c->start_open) * c->per_span;
    int opens = warming > before, sticks = !opens && warming + c->play >= before;
    double start = opens ? c->start_open : c->start_open - c->play / c->per_span;
    double b = start / c->settled - s->wax, slope = 1.0 / (c->settled * c->per_span), x = before, moved = before;
    for (int i = 0; i < 2; i++) {
        double q0 = b * f.d0 - c->pull * f.n0, q1 = slope * f.d0 + b * f.d1 - c->pull * f.n1, q2 = slope * f.d1;
        x = -2.0 * q0 / (q1 + sqrt(most(q1 * q1 - 4.0 * q2 * q0, 0.0)));
        moved = least(most(x, c->low), c->high);
        if (i == 0)
            f = felt_at(r, c, n, s, P, brought, per_passage(c, n, P, moved));
    }
    s->wax_ahead = start + moved / c->per_span;
    s->follows = sticks || x != moved ? 0.0 : c->per_span;
    return sticks ? before : moved;
}

static void move_valve(const struct run *r, const struct fixed *c, const struct renewed *n, struct state *s,
                       double head, double Q, double Q_x, double *passage, double *other)
{
    if (r->valve_there) {
        double a_hot = s->T_hot * c->keep_hot + c->hot_by_Q * Q, a_block = s->T_block * n->keep_block + n->block_by_air;
        s->opening = lift_ahead(r, c, n, s, head, c->h_hot * a_hot + c->h_block * a_block + Q_x);
    }
    *passage = most(c->leak + c->leak_rest * s->opening, 1e-6);
    *other = r->bypass_closes ? most(1.0 - s->opening, 1e-6) : 1.0;
}

static void branch_flows(const struct run *r, const struct renewed *n, struct state *s, double head, double passage,
                         double other, double V[3])
{
    double A2 = n->viscous2, B0 = n->inertial0 + n->valve / (passage * passage), B2 = n->inertial2, S2 = n->squares2;
    double a_j = n->viscous_jacket, b_j = n->inertial_jacket;
    if (r->bypass_closes) {
        double again = 1.0 / (other * other);
        A2 /= other;
        B2 *= again;
        S2 *= again;
    }
    double H = head * n->rho + 1e-12, P = s->pressure * (H / s->head_before), twice = 2.0 * P;
    double s0 = sqrt(n->squares0 + B0 * P), s1 = sqrt(n->squares1 + n->inertial1 * P), s2 = sqrt(S2 + B2 * P);
    double V0 = twice / (n->viscous0 + s0), V1 = twice / (n->viscous1 + s1), V2 = twice / (A2 + s2);
    double r0 = 1.0 / s0, r1 = 1.0 / s1, r2 = 1.0 / s2, all = V0 + V1 + V2, drop = b_j * all;
    double step = (H - (drop + a_j) * all - P) / (1.0 + (drop + drop + a_j) * (r0 + r1 + r2));
    double new = least(most(P + step, 1e-3 * P), H);
    step = new - P;
    s->pressure = new;
    s->head_before = H;
    V[0] = V0 + step * r0;
    V[1] = V1 + step * r1;
    V[2] = V2 + step * r2;
}

/* A table at engagement j of the fan, between two nodes of the air. */
static inline double at_node(const double *table, int64_t stride, double w)
{
    return w == 0.0 ? table[0] : table[0] + w * (table[stride] - table[0]);
}

static double engaged(const struct run *r, const double *table, int64_t k, int64_t i, double e, int64_t hot)
{
    int64_t m = r->members, count = r->engagements, stride = 2 * count * m;
    const double *here = table + r->node[k] * stride + hot * count * m + i;
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

/* A table between air not warmed and warmed. */
static double flowing(const struct run *r, const double *table, int64_t k, int64_t i, const struct state *s,
                      double *drawn)
{
    double cold = engaged(r, table, k, i, s->engagement, 0), hot = engaged(r, table, k, i, s->engagement, 1);
    *drawn = most(1.0 - cold / (hot + TINY), 0.0);
    return cold + s->thin * (hot - cold);
}

/* Cabin air and interior; what leaves with the air. */
static double cabin_step(const struct fixed *c, const struct renewed *n, struct state *s, double heat, double T_in)
{
    double given = c->interior_gives * s->T_interior;
    double mid = (s->T_cabin + c->w_cabin * (heat + n->cabin_fixed + given)) * n->keep_cabin;
    double interior = s->T_interior * c->keep_interior + c->interior_takes * mid;
    s->T_cabin = 2.0 * mid - s->T_cabin;
    s->T_interior = 2.0 * interior - s->T_interior;
    s->vent = n->blown > 0.0 ? T_in + (heat + n->auxiliary) / (n->blown + TINY) : mid;
    return n->leaves * (mid - c->ambient);
}

struct asked { double Q, Q_x, C_r, C_h, C_b, g, T_e, opens, shuts; };

/* What each lump of the radiator's line keeps, and what share passes of the lump before. */
static void line_of(const struct fixed *c, const struct state *s, const struct asked *x, double kept[LINE],
                    double passed[LINE])
{
    double w = c->w_cell * x->C_r, wg = c->w_face * x->g;
    double upper = 2.0 / (c->rest_upper + c->w_upper * x->C_r), cell = 2.0 / (1.0 + w + wg);
    double lower = 2.0 / (c->rest_lower + c->w_lower * x->C_r), source = wg * x->T_e;
    double through = 0.5 * KEPT * w * cell - SHARP;
    kept[0] = upper * (s->T_upper + (c->rest_upper - 1.0) * x->T_e);
    passed[0] = 1.0 - 0.5 * KEPT * c->rest_upper * upper;
    for (int j = 0; j < CELLS; j++) {
        kept[j + 1] = cell * (s->cells[j] + source);
        passed[j + 1] = through;
    }
    kept[LINE - 1] = lower * (s->T_lower + (c->rest_lower - 1.0) * x->T_e);
    passed[LINE - 1] = 1.0 - 0.5 * KEPT * c->rest_lower * lower;
}

/* Radiator and hoses after the engine's coolant T; midpoints of upper hose, cells together, lower hose. */
static void line_step(struct state *s, double T, const double kept[LINE], const double passed[LINE], double mid[3])
{
    double y = (2.0 / KEPT) * T, twice[LINE], sum = 0.0;
    for (int j = 0; j < LINE; j++) {
        double before = y;
        y = kept[j] + passed[j] * before;
        twice[j] = y + SHARP * before;
    }
    s->T_upper = twice[0] - s->T_upper;
    s->T_lower = twice[LINE - 1] - s->T_lower;
    for (int j = 0; j < CELLS; j++) {
        s->cells[j] = twice[j + 1] - s->cells[j];
        sum += twice[j + 1];
    }
    mid[0] = 0.5 * twice[0];
    mid[1] = 0.5 * sum;
    mid[2] = 0.5 * twice[LINE - 1];
}

/* The heat that the radiator's air takes. */
static double advance(const struct run *r, const struct fixed *c, const struct renewed *n, struct state *s,
                      const struct asked *x)
{
    double C_r = x->C_r, C_h = x->C_h, C_b = x->C_b, kept[LINE], passed[LINE], mid[3];
    line_of(c, s, x, kept, passed);
    double a = kept[0], b_line = passed[0];
    for (int j = 1; j < LINE; j++) {
        a = kept[j] + passed[j] * a;
        b_line *= passed[j];
    }
    double a_low = 0.5 * KEPT * a, keep = 1.0 / (c->rest_hose + c->w_hose * C_h);
    double a_hose = (s->T_hose + c->air_hose) * keep, b_hose = 1.0 - c->rest_hose * keep;
    double g_h = C_h * expm1(least(n->heater_UA / (C_h + TINY), HEATER_SIZE));
    double T_in = c->fresh_ambient + c->kept * s->T_cabin, w = c->w_core * C_h, wg = c->w_core * g_h;
    keep = 1.0 / (1.0 + w + wg);
    double a_core = (s->T_core + w * a_hose + wg * T_in) * keep, b_core = w * b_hose * keep;
    double a_hot = s->T_hot * c->keep_hot + c->hot_by_Q * x->Q, a_block = s->T_block * n->keep_block + n->block_by_air;
    double brought = C_r * a_low + C_h * a_core + c->h_hot * a_hot + c->h_block * a_block + x->Q_x;
    double inert = n->inner + c->w_engine * (C_r * (1.0 - b_line) + C_h * (1.0 - b_core));
    double T = (s->T + c->w_engine * brought) / inert;
    double core = a_core + b_core * T, block = a_block + n->block_by_T * T, hose = a_hose + b_hose * T, dt = 2.0 * r->h;
    double feed = r->outlet ? T : (C_r * (a_low + b_line * T) + C_h * core + C_b * T + TINY * T)
                                  / (C_r + C_h + C_b + TINY);
    double cabin = cabin_step(c, n, s, g_h * (core - T_in), T_in);
    line_step(s, T, kept, passed, mid);
    s->T_hose = 2.0 * hose - s->T_hose;
    s->T_core = 2.0 * core - s->T_core;
    s->T_hot = 2.0 * (a_hot + c->hot_by_T * T) - s->T_hot;
    s->T_block = 2.0 * block - s->T_block;
    s->T = 2.0 * T - s->T;
    double rise;
    s->T_return = a_low + b_line * T;
    if (r->feels_return) {
        double back = x->opens * (s->T_return - feed) - x->shuts * (T - feed);
        double slope = least(back / (C_r + C_h + C_b + TINY), 0.0);
        rise = dt * (feed - s->wax - slope * (s->wax_ahead - s->wax)) / (c->lag - r->h * slope);
    } else {
        rise = dt * (feed - s->wax) / c->lag;
    }
    s->wax += rise;
    s->sensor += c->keep_sensor * (T - s->sensor);
    double surfaces = n->h_air * block + c->G_hose * hose - n->air_all;
    double taken = x->g * (mid[1] - CELLS * x->T_e) + c->G_upper * (mid[0] - x->T_e) + c->G_lower * (mid[2] - x->T_e);
    s->lost += dt * (taken + surfaces + cabin);
    s->released += dt * (x->Q + x->Q_x + n->auxiliary);
    return taken;
}

/* Head of the pump at no flow over the coolant's density, of a row and member: with the square of its speed. */
static double head_now(const struct run *r, const struct renewed *n, int64_t at)
{
    double quicker = 1.0 + n->quick_share * r->quick_pump[at];
    return r->heads[at] * (quicker * quicker);
}

static void one_step(const struct run *r, int64_t k, int64_t i, const struct fixed *c, const struct renewed *n,
                     struct state *s)
{
    int64_t m = r->members;
    double passage, other, V[3];
    turn_fan(r, c, s);
    double head = head_now(r, n, r->row_of[k] * m + i);
    double Q = r->heat[k * m + i], Q_x = r->extra[k * m + i];
    move_valve(r, c, n, s, head, Q, Q_x, &passage, &other);
    branch_flows(r, n, s, head, passage, other, V);
    s->flow_h = V[1];
    double C_r = n->rho_cp * V[0];
    double drawn, unused, C_air = flowing(r, r->air_C, k, i, s, &drawn), UA_air = flowing(r, r->air_UA, k, i, s, &unused);
    double UA = 1.0 / (c->inverse_scale / UA_air + n->rest_resistance);
    double again = at_node(r->recirculation + r->node[k] * m + i, m, r->weight[k]);
    double e = 1.0 - exp(-UA / (C_air + TINY));
    double whole = n->ratio * C_air * e * (1.0 - again) / (1.0 - again + again * e);
    double u = most(whole - c->radiator_hoses, 0.0) / (CELLS * (C_r + TINY));
    double g = (C_r + TINY) * most(u, KEPT * KEPT / (exp(-least(u, 30.0)) + SHARP) - KEPT);
    double T_e = c->ambient;
    if (r->has_upstream) {
        double running = head > 0.0 ? r->ahead[r->row_of[k] * m + i] : 0.0;
        T_e += least(running / (C_air + TINY), UPSTREAM_MOST) / (1.0 - again);
    }
    struct asked x = {.Q = Q, .Q_x = Q_x, .C_r = C_r, .C_h = n->rho_cp * V[1],
                      .C_b = n->rho_cp * V[2], .g = g, .T_e = T_e};
    if (r->feels_return) {
        double B = n->inertial0 + n->valve / (passage * passage);
        double bend = passage * passage * passage * (n->viscous0 + 0.5 * B * V[0]) + TINY;
        x.opens = s->follows * c->leak_rest * C_r * V[0] * (0.5 * n->valve) / bend;
        x.shuts = r->bypass_closes ? s->follows * x.C_b / other : 0.0;
    }
    double taken = advance(r, c, n, s, &x);
    double behind = least(T_e + taken / ((1.0 - again) * (C_air + TINY)), most(s->T, T_e));
    s->thin = (most(1.0 - c->ambient / behind, 0.0) * c->per_thinned + drawn * s->thin) / (1.0 + drawn);
    double over = most(s->T - c->boiling, 0.0); /* boils off */
    s->T -= over;
    s->lost += over * r->h / c->w_engine;
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
