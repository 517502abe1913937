/* The time loop of one string, two heads and one loop, written a second time in C: same algorithm, same physics, same
 * record, for the benchmark's ratio. Compile: gcc -O3 -march=native -ffast-math -funroll-loops.
 * reference.py fills the structures. Everything in SI units. */

#include <math.h>
#include <stddef.h>

enum { POLES = 2, SUBSTEPS = 8 };

typedef double four __attribute__((vector_size(32), aligned(8)));

typedef struct {
    long partials, table_gaps[POLES], table_offsets[POLES];
    double step, inverse_mass, inverse_density, stretch;
    const double *curvature, *bridge, *weight, *touch_weight; /* (N), (N), (2, N), (2, N) */
    const double *full, *fine, *half_fine;                    /* (2, 4, N): qq, qv, vq, vv of each polarisation */
    const double *table[POLES];                               /* (G, Y, 4) */
    double grid[POLES][4];                                    /* gap start, 1/step, offset start, 1/step */
    double pole[POLES][3];                                    /* sign, gap, offset */
    double touch[POLES][8];                                   /* stiffness, exponent, loss, 2 radii, 2 recesses, strength */
    double inductance[3], resistance[2], elastance;           /* L_s, M, L_d */
    double amp[15];                                           /* fields of classic.Amplifiers in order */
} Model;

typedef struct {
    double *q, *v, *flux, *node, *allpass, *output, *capacitor, *psi, *last_gap, *work, *supplied, *drive_heat, *sense_heat,
        *noise_work, *contact_loss;
} State;

typedef struct {
    double *displacement, *force, *contact, *current, *node, *output, *capacitor, *supply, *bridge;
} Record;

typedef struct {
    four value, by_gap, by_offset;
} Surface;

static inline void basis(double t, double *b, double *d) {
    const double s = 1.0 - t, t2 = t * t, s2 = s * s;
    b[0] = s2 * s * (1.0 / 6), b[3] = t2 * t * (1.0 / 6);
    b[1] = (0.5 * t - 1.0) * t2 + 2.0 / 3, b[2] = (0.5 * s - 1.0) * s2 + 2.0 / 3;
    d[0] = -0.5 * s2, d[3] = 0.5 * t2, d[1] = (1.5 * t - 2.0) * t, d[2] = (2.0 - 1.5 * s) * s;
}

static inline long cell(double x, double start, double rate, long size, double *t, double *slope) {
    double place = (x - start) * rate;
    *slope = place >= 0.0 && place <= size - 3 ? rate : 0.0;
    place = place < 0.0 ? 0.0 : place > size - 3 ? size - 3 : place;
    long first = (long)place;
    first = first > size - 4 ? size - 4 : first;
    *t = place - first;
    return first;
}

static inline Surface look_up(const double *table, const double *grid, long gaps, long offsets, double gap, double offset) {
    double t, r, by_t, by_r, a[4], da[4], b[4], db[4];
    const long g = cell(gap, grid[0], grid[1], gaps, &t, &by_t), y = cell(offset, grid[2], grid[3], offsets, &r, &by_r);
    basis(t, a, da), basis(r, b, db);
    Surface s = {{0}, {0}, {0}};
    for (int i = 0; i < 4; i++) {
        const four *row = (const four *)(table + 4 * ((g + i) * offsets + y));
        const four across = b[0] * row[0] + b[1] * row[1] + b[2] * row[2] + b[3] * row[3];
        const four turn = db[0] * row[0] + db[1] * row[1] + db[2] * row[2] + db[3] * row[3];
        s.value += a[i] * across, s.by_gap += da[i] * across, s.by_offset += a[i] * turn;
    }
    s.by_gap *= by_t, s.by_offset *= by_r;
    return s;
}

static inline void rotate(double *restrict q, double *restrict v, const double *restrict turn, long n) {
    const double *qq = turn, *qv = turn + n, *vq = turn + 2 * n, *vv = turn + 3 * n;
    for (long k = 0; k < n; k++) {
        const double x = q[k], y = v[k];
        q[k] = qq[k] * x + qv[k] * y;
        v[k] = vq[k] * x + vv[k] * y;
    }
}

static double dot(const double *restrict a, const double *restrict b, long n) {
    double sum = 0.0;
    for (long k = 0; k < n; k++) sum += a[k] * b[k];
    return sum;
}

static void press(const Model *m, State *s, int c, double span, double room, double *mean_force) {
    const double *law = m->touch[c], *weight = m->touch_weight + c * m->partials;
    const long n = m->partials;
    const double depth = dot(s->q, weight, n) - room;
    if (depth <= 0.0) {
        s->contact_loss[c] += 0.5 * s->psi[c] * s->psi[c], s->psi[c] = 0.0;
        return;
    }
    const double speed = dot(s->v, weight, n), exponent = law[1];
    const double slope = sqrt(0.5 * law[0] * (exponent + 1.0)) * pow(depth, 0.5 * (exponent - 1.0));
    const double dash = law[0] * pow(depth, exponent) * law[2], pace = span * law[7];
    const double hold = 0.5 * span * slope * slope + dash;
    const double mean = (2.0 * speed - pace * slope * s->psi[c]) / (2.0 + pace * hold);
    const double force = slope * s->psi[c] + hold * mean;
    if (force < 0.0) {
        s->contact_loss[c] += 0.5 * s->psi[c] * s->psi[c], s->psi[c] = 0.0;
        return;
    }
    s->psi[c] += span * slope * mean;
    s->contact_loss[c] += span * dash * mean * mean;
    s->work[0] -= span * force * mean;
    mean_force[c] += force / SUBSTEPS;
    for (long k = 0; k < n; k++) s->v[k] -= span * force * m->inverse_mass * weight[k];
}

static void walk(const Model *m, State *s, const double *lateral, double *mean_force) {
    const long n = m->partials;
    double room[POLES];
    for (int c = 0; c < POLES; c++) {
        const double across = fabs(lateral[c]), *law = m->touch[c];
        room[c] = across > law[4] ? 1.0 : m->pole[c][1] + (across <= law[3] ? law[5] : law[6]);
    }
    rotate(s->q + n, s->v + n, m->full + 4 * n, n); /* sideways nothing touches */
    for (int part = 0; part <= SUBSTEPS; part++) {
        const double *turn = part == 0 || part == SUBSTEPS ? m->half_fine : m->fine;
        rotate(s->q, s->v, turn, n);
        if (part < SUBSTEPS)
            for (int c = 0; c < POLES; c++) press(m, s, c, m->step / SUBSTEPS, room[c], mean_force);
    }
}

/* Implicit midpoint of the circuit at frozen displacement, eliminated to two currents and one voltage. */
static inline void electrify(const Model *m, State *s, const Surface *at, const double *noise, double supply, double *force, Record *r, long t) {
    const double *a = m->amp, half = 0.5 * m->step, cross = m->inductance[1], g0 = m->pole[0][0], g1 = m->pole[1][0];
    const double sense = m->inductance[0] + at[0].value[2], drive = m->inductance[2] + at[1].value[2];
    const double free_s = s->flux[0] - g0 * at[0].value[1], free_d = s->flux[1] - g1 * at[1].value[1];
    const double scale = 1.0 / (sense * drive - cross * cross);
    const double before_s = (drive * free_s - cross * free_d) * scale, before_d = (sense * free_d - cross * free_s) * scale;
    const double charge = half / a[0], leak = 1.0 / (1.0 + charge * a[1]), lag = half * a[2], hum = a[13] * noise[0];
    const double stiff_s = sense + half * (m->resistance[0] + charge * leak), stiff_d = drive + half * (m->resistance[1] + half * m->elastance);
    const double right_s = free_s + half * (s->node[0] * leak + hum), right_d = free_d + half * (a[11] * supply - s->capacitor[0]);
    const double solve = 1.0 / (stiff_s * stiff_d - cross * cross);
    const double still_s = (stiff_d * right_s - cross * right_d) * solve, still_d = (stiff_s * right_d - cross * right_s) * solve;
    const double per_volt_s = -cross * half * solve, per_volt_d = stiff_s * half * solve;
    const double delay = 1.0 / (1.0 + lag), share = a[3] + a[4] * lag * delay;
    const double still_e = (s->node[0] - charge * still_s) * leak, per_volt_e = -charge * leak * per_volt_s;
    const double still_u = a[5] * (share * still_e + a[4] * delay * s->allpass[0]) + a[12] + a[14] * noise[1];
    const double pull = half * a[7], old = s->output[0];
    double change = (pull * still_u + old) / (1.0 - pull * (a[5] * share * per_volt_e - 1.0 / a[6])) - old;
    const double most = half * a[8], high = a[10] * supply, low = a[9] * supply;
    change = change > most ? most : change < -most ? -most : change;
    double new = old + 2.0 * change;
    new = new > high ? high : new < low ? low : new;
    const double volt = 0.5 * (old + new), i_s = still_s + per_volt_s * volt, i_d = still_d + per_volt_d * volt;
    const double e = still_e + per_volt_e * volt, x = (s->allpass[0] + lag * e) * delay, v_c = s->capacitor[0] + half * m->elastance * i_d;
    const double after_s = 2.0 * i_s - before_s, after_d = 2.0 * i_d - before_d;
    const double square[POLES] = {0.25 * (before_s * before_s + after_s * after_s), 0.25 * (before_d * before_d + after_d * after_d)};
    const double signed_current[POLES] = {g0 * i_s, g1 * i_d};
    for (int j = 0; j < POLES; j++) {
        force[2 * j] = -(at[j].by_gap[0] + signed_current[j] * at[j].by_gap[1] + square[j] * at[j].by_gap[2]);
        force[2 * j + 1] = at[j].by_offset[0] + signed_current[j] * at[j].by_offset[1] + square[j] * at[j].by_offset[2];
    }
    s->flux[0] += m->step * (e + hum - m->resistance[0] * i_s);
    s->flux[1] += m->step * (a[11] * supply + volt - v_c - m->resistance[1] * i_d);
    s->node[0] = 2.0 * e - s->node[0], s->allpass[0] = 2.0 * x - s->allpass[0];
    s->output[0] = new, s->capacitor[0] = 2.0 * v_c - s->capacitor[0];
    const double out = volt + a[11] * supply;
    s->supplied[0] += m->step * out * i_d;
    s->drive_heat[0] += m->step * m->resistance[1] * i_d * i_d;
    s->sense_heat[0] += m->step * (m->resistance[0] * i_s * i_s + a[1] * e * e);
    s->noise_work[0] += m->step * hum * i_s;
    r->current[2 * t] = i_s, r->current[2 * t + 1] = i_d, r->node[t] = e, r->output[t] = out, r->capacitor[t] = v_c;
        r->supply[t] = (a[10] - a[9]) * supply;
}

/* Read-only pass: u of both poles and polarisations, Σ k²(q₀² + q₁²), bridge force. */
static inline void look(const Model *m, const double *restrict q, double *restrict sums) {
    const long n = m->partials;
    const double *restrict near = m->weight, *restrict far = m->weight + n, *restrict k2 = m->curvature, *restrict b = m->bridge;
    double u00 = 0, u01 = 0, u10 = 0, u11 = 0, bend = 0, b0 = 0, b1 = 0;
    for (long k = 0; k < n; k++) {
        const double x = q[k], y = q[n + k];
        u00 += near[k] * x, u01 += near[k] * y, u10 += far[k] * x, u11 += far[k] * y;
        bend += k2[k] * (x * x + y * y);
        b0 += b[k] * x, b1 += b[k] * y;
    }
    sums[0] = u00, sums[1] = u01, sums[2] = u10, sums[3] = u11, sums[4] = bend, sums[5] = b0, sums[6] = b1;
}

/* Kick one polarisation by two forces and the tension, turn it by a whole step (or not at all); returns Σ dv (2v + dv). */
static inline double move(const Model *m, double *restrict q, double *restrict v, const double *restrict turn, double near, double far, double tight) {
    const long n = m->partials;
    const double *restrict w0 = m->weight, *restrict w1 = m->weight + n, *restrict k2 = m->curvature;
    const double *restrict qq = turn, *restrict qv = turn + n, *restrict vq = turn + 2 * n, *restrict vv = turn + 3 * n;
    double twice = 0.0;
    for (long k = 0; k < n; k++) {
        const double x = q[k], dv = near * w0[k] + far * w1[k] - tight * k2[k] * x, y = v[k] + dv;
        twice += dv * (v[k] + y);
        q[k] = qq[k] * x + qv[k] * y;
        v[k] = vq[k] * x + vv[k] * y;
    }
    return twice;
}

static double kick(const Model *m, const double *restrict q, double *restrict v, double near, double far, double tight) {
    double twice = 0.0;
    for (long k = 0; k < m->partials; k++) {
        const double dv = near * m->weight[k] + far * m->weight[m->partials + k] - tight * m->curvature[k] * q[k];
        twice += dv * (2.0 * v[k] + dv);
        v[k] += dv;
    }
    return twice;
}

long advance(const Model *m, State *s, const double *supply, const double *noise, Record *r, long steps) {
    const long n = m->partials;
    const double push = m->step * m->inverse_mass;
    for (long t = 0; t < steps; t++) {
        double sums[7], lateral[POLES], *force = r->force + 4 * t;
        Surface at[POLES];
        look(m, s->q, sums);
        int close = 0;
        for (int j = 0; j < POLES; j++) {
            const double gap = m->pole[j][1] - sums[2 * j];
            if (!(fabs(gap) < 1.0)) return t;
            lateral[j] = m->pole[j][2] + sums[2 * j + 1];
            at[j] = look_up(m->table[j], m->grid[j], m->table_gaps[j], m->table_offsets[j], gap, lateral[j]);
            const double recess = fabs(lateral[j]) <= m->touch[j][3] ? m->touch[j][5] : m->touch[j][6];
            close |= s->psi[j] != 0.0 || (gap + recess < 2.0 * fabs(gap - s->last_gap[j]) + 2e-5 && fabs(lateral[j]) < m->touch[j][4] + 1e-4);
            s->last_gap[j] = gap;
            r->displacement[4 * t + 2 * j] = sums[2 * j], r->displacement[4 * t + 2 * j + 1] = sums[2 * j + 1];
        }
        electrify(m, s, at, noise + 2 * t, supply[t], force, r, t);
        const double tight = m->step * m->stretch * m->inverse_density * sums[4];
        double twice = 0.0;
        double *touching = r->contact + 2 * t;
        touching[0] = touching[1] = 0.0;
        if (!close)
            for (int p = 0; p < 2; p++)
                twice += move(m, s->q + p * n, s->v + p * n, m->full + 4 * p * n, push * force[p], push * force[2 + p], tight);
        else {
            for (int p = 0; p < 2; p++) twice += kick(m, s->q + p * n, s->v + p * n, push * force[p], push * force[2 + p], tight);
            walk(m, s, lateral, touching);
        }
        s->work[0] += 0.5 * twice / m->inverse_mass;
        r->bridge[2 * t] = sums[5], r->bridge[2 * t + 1] = sums[6];
    }
    return steps;
}

/* Ten chains of fused multiply-adds, enough to fill the units. Returns a value so that nothing is optimised away. */
#ifdef __AVX512F__
enum { LANES = 8 };
#else
enum { LANES = 4 };
#endif
typedef double lanes __attribute__((vector_size(8 * LANES)));

double multiply_add(long rounds) {
    const lanes x = (lanes){0} + 0.9999999, y = (lanes){0} + 1e-9;
    lanes a = x, b = 2 * x, c = 3 * x, d = 4 * x, e = 5 * x, f = 6 * x, g = 7 * x, h = 8 * x, i = 9 * x, j = 10 * x;
    for (long k = 0; k < rounds; k++) {
        a = a * x + y, b = b * x + y, c = c * x + y, d = d * x + y, e = e * x + y;
        f = f * x + y, g = g * x + y, h = h * x + y, i = i * x + y, j = j * x + y;
    }
    a += b + c + d + e + f + g + h + i + j;
    return a[0] + a[1] + a[2] + a[3];
}

long flops_of_a_round(void) { return 20 * LANES; }
