/* The compiled stepper: the equations of LineSystem and the steps of Marcher, line by line.

   Every formula stands in Python beside this file's twin (system, contact, stream, handling,
   march), which is the readable reference; constants come from there in one struct. Arrays are
   those of the mesh: nodes and elements of all lines end to end, vectors as three rows of all
   nodes. Nothing here allocates but the work space of one call; nothing keeps state.          */

#include <math.h>
#include <stdlib.h>
#include <string.h>

#if defined(_WIN32)
#define EXPORT __declspec(dllexport)
#else
#define EXPORT __attribute__((visibility("default")))
#endif

enum { DONE = 0, NO_SOLUTION = 1, NO_MEMORY = 2, FULL = 3, BAD_INPUT = 4 };
enum { UNIFORM = 0, POWER_LAW = 1, SHARES = 2, LAYERS = 3 };
enum { FISH_ON = 1, FISH_OFF = 2, FISH_END_TO = 3 };

typedef struct {
    double speed_floor, surface_blur;
    double contact_blur, contact_reach, friction, friction_speed;
    double bed_soft, bed_stiffness, bed_bend;
    double bed;
    double drag[6];
    double gamma, error_constant, newton_tolerance, largest_update, smallest_step;
    double sliver, settled, settle_first, settle_grows, settle_shrinks, settle_long, settle_last;
    double fish_area, off_ground, ease, least_part;
    long long newton_most, settle_most;
} Constants;

typedef struct {
    long long nodes, lines, held;
    const long long *first, *last;
    double *length;
    const double *spring, *one_way, *slack, *nodal, *swing;
    double *cross;
    const double *fixed, *curve, *reynolds;
    double *along, *added_across;
    const double *added_along;
    double *mass, *buoyancy, *weight, *isotropic;
    const double *lip, *current, *contact;
    const long long *profile, *profile_first, *profile_rows;
    const double *profile_root, *profile_floor, *profile_depth, *profile_a, *profile_b;
    const long long *bottom_first, *bottom_points;
    const double *bottom_along, *bottom_depth, *bottom_east, *bottom_north;
} Mesh;

/* Lines that are handled; tables as in handling.Handling, of all lines end to end. */
typedef struct {
    const long long *handled, *tip;
    const long long *move_first, *moves;
    const double *move_time, *move_length, *move_rate, *move_change;
    const double *leader, *density, *along_line, *shares;
    const long long *fish_first, *fish_orders, *fish_action;
    const double *fish_time, *fish_value, *fish_rate;
    const double *length, *cross, *along, *added_across, *mass, *buoyancy, *weight, *isotropic;
} Handling;

/* The boat as pieces: cubics of speed through the water, heading and turn, each given by value
   and rate at either end (count, 4), between instants (count + 1). A step ends at each of her
   breaks, and the next is no longer than `break_step`. */
typedef struct {
    long long count, breaks;
    const double *time, *speed, *heading, *turn, *break_time, *break_step;
    double east, north, astern, abeam;
} Boat;

typedef struct { double m[3][3]; } Block;

typedef struct {
    long long n, at;
    double *r, *v, *a, *r_star, *v_star, *net, *submerged, *relative, *wet, *shear_direction,
        *gradient;
    double *tension;
    Block *own, *upper, *lower;
    double *memory;
} Work;

static long long sheared(const Mesh *mesh, long long line) { return mesh->profile[line] != UNIFORM; }

static int prepare(Work *work, const Mesh *mesh, long long line)
{
    long long n = mesh->last[line] - mesh->first[line] + 1;
    if (n < 2 || n > 100000 || mesh->last[line] >= mesh->nodes) return BAD_INPUT;
    double *p = malloc(sizeof(double) * (size_t)n * (10 * 3 + 2 + 27));
    if (!p) return NO_MEMORY;
    work->memory = p;
    work->n = n;
    work->at = mesh->first[line];
    double **rows[] = {&work->r, &work->v, &work->a, &work->r_star, &work->v_star, &work->net,
                       &work->submerged, &work->relative, &work->shear_direction,
                       &work->gradient};
    for (int k = 0; k < 10; k++, p += 3 * n) *rows[k] = p;
    work->wet = p; p += n;
    work->tension = p; p += n;
    work->own = (Block *)p; p += 9 * n;
    work->upper = (Block *)p; p += 9 * n;
    work->lower = (Block *)p;
    return DONE;
}

/* First place whose value is not below x, as numpy.searchsorted. */
static long long place_of(const double *table, long long count, double x)
{
    long long low = 0, high = count;
    while (low < high) {
        long long mid = (low + high) / 2;
        if (table[mid] < x) low = mid + 1; else high = mid;
    }
    return low;
}

static double between(const double *table, const double *value, long long count, double x)
{
    long long k = place_of(table, count, x);
    if (k == 0) return value[0];
    if (k == count) return value[count - 1];
    double share = (x - table[k - 1]) / (table[k] - table[k - 1]);
    return value[k - 1] + share * (value[k] - value[k - 1]);
}

static double floor_at(const Mesh *mesh, long long line, double x, double y)
{
    long long first = mesh->bottom_first[line], points = mesh->bottom_points[line];
    if (points == 1) return mesh->bottom_depth[first];
    double along = x * mesh->bottom_east[line] + y * mesh->bottom_north[line];
    return between(mesh->bottom_along + first, mesh->bottom_depth + first, points, along);
}

static void slope_at(const Mesh *mesh, long long line, double x, double y, double *slope)
{
    long long first = mesh->bottom_first[line], points = mesh->bottom_points[line];
    slope[0] = slope[1] = 0.0;
    if (points == 1) return;
    const double *along = mesh->bottom_along + first, *depth = mesh->bottom_depth + first;
    double here = x * mesh->bottom_east[line] + y * mesh->bottom_north[line];
    long long k = place_of(along, points, here);
    if (k == 0 || k == points) return;
    double rise = -(depth[k] - depth[k - 1]) / (along[k] - along[k - 1]);
    slope[0] = rise * mesh->bottom_east[line];
    slope[1] = rise * mesh->bottom_north[line];
}

/* The current at a place, the direction in which it changes, and how much it does by x, y and z. */
static void flow_at(const Constants *c, const Mesh *mesh, long long line, const double *r,
                    const double *surface, double *flow, double *direction, double *gradient)
{
    double depth = -r[2];
    long long first = mesh->profile_first[line], rows = mesh->profile_rows[line];
    const double *deep = mesh->profile_depth + first;
    const double *a = mesh->profile_a + first, *b = mesh->profile_b + first;
    flow[2] = direction[2] = 0.0;
    gradient[0] = gradient[1] = gradient[2] = 0.0;
    if (mesh->profile[line] == POWER_LAW) {
        double root_law = mesh->profile_root[line], fixed = mesh->profile_floor[line];
        int follows = fixed <= 0.0;
        double water = follows ? floor_at(mesh, line, r[0], r[1]) : fixed;
        double height = water - fmax(depth, 0.0);
        double root = sqrt(height * height + 4.0 * c->bed * c->bed);
        double rounded = height > 0.0 ? 0.5 * (height + root) : 2.0 * c->bed * c->bed / (root - height);
        double share = pow(rounded / water, 1.0 / root_law);
        double per_height = share / (root_law * root);
        for (int i = 0; i < 2; i++) { flow[i] = surface[i] * share; direction[i] = surface[i]; }
        gradient[2] = depth > 0.0 ? per_height : 0.0;
        if (follows && mesh->bottom_points[line] > 1) {
            double by_floor = per_height - share / (root_law * water), slope[2];
            slope_at(mesh, line, r[0], r[1], slope);
            gradient[0] = -by_floor * slope[0];
            gradient[1] = -by_floor * slope[1];
        }
    } else if (mesh->profile[line] == SHARES) {
        long long k = place_of(deep, rows, depth);
        double share = between(deep, a, rows, depth);
        for (int i = 0; i < 2; i++) { flow[i] = surface[i] * share; direction[i] = surface[i]; }
        if (k > 0 && k < rows) gradient[2] = -(a[k] - a[k - 1]) / (deep[k] - deep[k - 1]);
    } else {
        /* rows from the surface down; the first one's velocity is the surface's own */
        long long k = place_of(deep, rows, depth);
        const double *value[2] = {a, b};
        gradient[2] = -1.0;
        for (int i = 0; i < 2; i++) {
            double first_rate = (value[i][1] - surface[i]) / deep[1];
            if (depth < deep[1]) flow[i] = surface[i] + fmin(fmax(depth / deep[1], 0.0), 1.0)
                                                            * (value[i][1] - surface[i]);
            else flow[i] = between(deep + 1, value[i] + 1, rows - 1, depth);
            if (k == 0 || k == rows) direction[i] = 0.0;
            else if (k == 1) direction[i] = first_rate;
            else direction[i] = (value[i][k] - value[i][k - 1]) / (deep[k] - deep[k - 1]);
        }
    }
}

/* Smooth cylinder: the drag coefficient and its slope by the Reynolds number. */
static double cylinder(const double *c, double reynolds, double *slope)
{
    double root = sqrt(reynolds);
    double low = c[0] / (root * sqrt(root));
    double fade = exp(-c[2] / reynolds);
    double ratio = pow(reynolds / c[4], c[5]);
    double wake = exp(-ratio);
    *slope = (-0.75 * low - c[1] * c[2] * fade / reynolds + c[3] * c[5] * ratio * wake) / reynolds;
    return low + c[1] * (1.0 - fade) + c[3] * (1.0 - wake);
}

static double dot(const double *a, const double *b)
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/* own -= b * sensitivity gradient': where the current differs, nodes move to. */
static void advect(Block *own, double b, const double *sensitivity, const double *gradient)
{
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) own->m[i][j] -= b * sensitivity[i] * gradient[j];
}

static void add_contact(const Constants *c, const Mesh *mesh, long long line, const double *r,
                        const double *v, double scale, double b, double *net, Block *own)
{
    double height = r[2] + floor_at(mesh, line, r[0], r[1]);
    if (height >= c->contact_reach) return;
    double normal[3] = {0.0, 0.0, 1.0}, slope[2];
    if (mesh->bottom_points[line] > 1) {
        slope_at(mesh, line, r[0], r[1], slope);
        double size = sqrt(slope[0] * slope[0] + slope[1] * slope[1] + 1.0);
        normal[0] = -slope[0] / size;
        normal[1] = -slope[1] / size;
        normal[2] = 1.0 / size;
    }
    double gap = height * normal[2] / c->contact_blur;
    double push = scale * (gap > 0.0 ? log1p(exp(-gap)) : log1p(exp(gap)) - gap);
    double rise = scale / c->contact_blur / (1.0 + exp(fmin(fmax(gap, -60.0), 60.0)));
    /* the stiff bed, by depth straight down */
    double deep = fmax(-height - c->bed_soft, 0.0), bend = fmin(deep, c->bed_bend);
    push += c->bed_stiffness * bend * (deep - 0.5 * bend) / c->bed_bend / normal[2];
    rise += c->bed_stiffness * bend / c->bed_bend / (normal[2] * normal[2]);
    double slip[3], into = dot(v, normal);
    for (int i = 0; i < 3; i++) slip[i] = v[i] - into * normal[i];
    double slip_speed = sqrt(dot(slip, slip) + c->friction_speed * c->friction_speed);
    double friction = c->friction * push / slip_speed;
    for (int i = 0; i < 3; i++) {
        net[i] += friction * slip[i] - push * normal[i];
        double by_height = -(b * c->friction * rise / slip_speed) * slip[i];
        by_height += (b * rise - friction) * normal[i];
        for (int j = 0; j < 3; j++)
            own->m[i][j] +=
                by_height * normal[j] - friction / (slip_speed * slip_speed) * slip[i] * slip[j];
        own->m[i][i] += friction;
    }
}

/* Residual M a - f of one line and its derivative by the velocities, at r = r* + b v. */
static void evaluate(const Constants *c, const Mesh *mesh, long long line, Work *w, double b)
{
    long long n = w->n, at = w->at, rows = mesh->nodes - 1;
    int shear = (int)sheared(mesh, line);
    double blur = c->surface_blur, floor2 = c->speed_floor * c->speed_floor;
    memset(w->own, 0, sizeof(Block) * (size_t)n);
    for (long long k = 0; k < n; k++) {
        const double *r = w->r + 3 * k, *v = w->v + 3 * k;
        double surface[3], flow[3];
        for (int i = 0; i < 3; i++) surface[i] = mesh->current[i * mesh->nodes + at + k];
        memcpy(flow, surface, sizeof flow);
        if (shear)
            flow_at(c, mesh, line, r, surface, flow, w->shear_direction + 3 * k,
                    w->gradient + 3 * k);
        for (int i = 0; i < 3; i++) {
            w->relative[3 * k + i] = v[i] - flow[i];
            w->submerged[3 * k + i] = 0.0;
            w->net[3 * k + i] = mesh->mass[at + k] * w->a[3 * k + i];
            w->own[k].m[i][i] = mesh->mass[at + k] / b;
        }
        w->wet[k] = 1.0 / (1.0 + exp(fmin(r[2] / blur, 60.0)));
        w->net[3 * k + 2] += mesh->weight[at + k];
    }
    for (long long e = 0; e + 1 < n; e++) {
        const double *r0 = w->r + 3 * e, *r1 = r0 + 3;
        double t[3] = {r1[0] - r0[0], r1[1] - r0[1], r1[2] - r0[2]};
        double span = sqrt(dot(t, t)), length = mesh->length[at + e];
        for (int i = 0; i < 3; i++) t[i] /= span;
        double strain = span / length - 1.0, slack = mesh->slack[at + e];
        double root = sqrt(strain * strain + slack * slack);
        double tension = mesh->spring[at + e] * strain + mesh->one_way[at + e] * root;
        double stiff = mesh->spring[at + e] + mesh->one_way[at + e] * (strain / root);
        w->tension[e] = tension;
        double swing = mesh->swing[at + e];
        double by_own = 0.5 + 0.5 * mesh->nodal[at + e], by_other = 0.5 - 0.5 * mesh->nodal[at + e];
        for (int end = 0; end < 2; end++) {
            long long k = e + end, other = e + 1 - end, table = end * rows + at + e;
            const double *a = w->a + 3 * k;
            double u[3], across[3];
            for (int i = 0; i < 3; i++)
                u[i] = by_own * w->relative[3 * k + i] + by_other * w->relative[3 * other + i];
            double wet = w->wet[k], slide = dot(u, t);
            for (int i = 0; i < 3; i++) across[i] = u[i] - slide * t[i];
            double speed = sqrt(dot(across, across) + floor2 + swing * (slide * slide));
            double unit = mesh->cross[table] * wet, cn = mesh->fixed[table], extra = 0.0;
            if (mesh->curve[table] != 0.0) {
                double reynolds = mesh->reynolds[table] * speed, by_re;
                double curve = cylinder(c->drag, reynolds, &by_re);
                cn += mesh->curve[table] * curve;
                extra = mesh->curve[table] * by_re * reynolds;
            }
            double k_rise = unit * (cn + extra) / speed, k_cross = unit * cn * speed;
            double k_slide = mesh->along[table] * wet * fabs(slide);
            double add_n = mesh->added_across[table] * wet;
            double add_t = mesh->added_along[table] * wet - add_n;
            double a_t = dot(a, t);
            double lever = (end ? -b : b) / span, turn = lever * slide;
            double c_iso = b / span * tension + turn * (k_cross - k_slide);
            double c_tt = b / length * stiff - c_iso;
            double k_along = 2.0 * k_slide - k_cross;
            Block *own = w->own + k, *off = end ? w->lower + e : w->upper + e;
            for (int i = 0; i < 3; i++) {
                double drag = k_cross * across[i] + k_slide * slide * t[i];
                double inertia = add_n * a[i] + add_t * a_t * t[i];
                w->submerged[3 * k + i] += drag;
                w->net[3 * k + i] += drag + inertia + (end ? tension : -tension) * t[i];
                double left =
                    (1.0 - swing) * turn * k_rise * across[i] + lever * (k_cross - 2.0 * k_slide) * t[i];
                for (int j = 0; j < 3; j++) {
                    double couple = left * across[j] + c_tt * t[i] * t[j] + (i == j ? c_iso : 0.0);
                    double by_flow = k_rise * across[i] * (across[j] + swing * slide * t[j])
                                     + k_along * t[i] * t[j] + (i == j ? k_cross : 0.0);
                    off->m[i][j] = by_other * by_flow - couple;
                    own->m[i][j] += by_own * by_flow + couple + add_t / b * t[i] * t[j];
                }
                own->m[i][i] += add_n / b;
            }
            for (int side = 0; shear && side < 2; side++) {
                long long from = side ? other : k;
                const double *direction = w->shear_direction + 3 * from;
                double along = dot(t, direction), share = side ? by_other : by_own;
                double by_cross = k_rise * (dot(across, direction) + swing * slide * along);
                double by_slide = k_along * along, sensitivity[3];
                for (int i = 0; i < 3; i++)
                    sensitivity[i] =
                        share * (by_cross * across[i] + k_cross * direction[i] + by_slide * t[i]);
                advect(side ? off : own, b, sensitivity, w->gradient + 3 * from);
            }
        }
        if (mesh->lip[at + e] != 0.0) {
            const double *u = w->relative + 3 * e;
            double ahead = fmax(-dot(u, t), 0.0), k = mesh->lip[at + e] * w->wet[e];
            double down[3] = {t[2] * t[0], t[2] * t[1], t[2] * t[2] - 1.0}, turned[3][3];
            double sensitivity[3];
            for (int i = 0; i < 3; i++) {
                w->net[3 * e + i] -= k * ahead * ahead * down[i];
                sensitivity[i] = 0.0;
                for (int j = 0; j < 3; j++) {
                    double jac = 2.0 * k * ahead * down[i] * t[j];
                    w->own[e].m[i][j] += jac;
                    if (shear) sensitivity[i] += jac * w->shear_direction[3 * e + j];
                    turned[i][j] = 2.0 * ahead * down[i] * u[j];
                }
                turned[i][2] -= ahead * ahead * t[i];
                turned[i][i] -= ahead * ahead * t[2];
            }
            if (shear) advect(w->own + e, b, sensitivity, w->gradient + 3 * e);
            for (int i = 0; i < 3; i++) {
                double on_axis = dot(turned[i], t);
                for (int j = 0; j < 3; j++) {
                    double part = (turned[i][j] - on_axis * t[j]) * k * b / span;
                    w->own[e].m[i][j] -= part;
                    w->upper[e].m[i][j] += part;
                }
            }
        }
    }
    for (long long k = 0; k < n; k++) {
        double *net = w->net + 3 * k, *submerged = w->submerged + 3 * k, wet = w->wet[k];
        const double *u = w->relative + 3 * k;
        Block *own = w->own + k;
        double lift = mesh->buoyancy[at + k] * wet;
        submerged[2] -= lift;
        net[2] -= lift;
        for (int i = 0; i < 3; i++) own->m[i][2] -= b / blur * (1.0 - wet) * submerged[i];
        if (mesh->isotropic[at + k] != 0.0) {
            double speed = sqrt(dot(u, u) + floor2), ball = mesh->isotropic[at + k] * wet * speed;
            double sensitivity[3] = {0.0, 0.0, 0.0};
            for (int i = 0; i < 3; i++) {
                net[i] += ball * u[i];
                for (int j = 0; j < 3; j++) {
                    double jac = ball / (speed * speed) * u[i] * u[j] + (i == j ? ball : 0.0);
                    own->m[i][j] += jac;
                    if (shear) sensitivity[i] += jac * w->shear_direction[3 * k + j];
                }
            }
            if (shear) advect(own, b, sensitivity, w->gradient + 3 * k);
        }
        add_contact(c, mesh, line, w->r + 3 * k, w->v + 3 * k, mesh->contact[at + k], b, net, own);
    }
}

static int invert(const Block *block, Block *out)
{
    const double (*m)[3] = block->m;
    double c0 = m[1][1] * m[2][2] - m[1][2] * m[2][1];
    double c1 = m[1][2] * m[2][0] - m[1][0] * m[2][2];
    double c2 = m[1][0] * m[2][1] - m[1][1] * m[2][0];
    double det = m[0][0] * c0 + m[0][1] * c1 + m[0][2] * c2;
    if (!(fabs(det) > 0.0) || !isfinite(det)) return 0;
    double d = 1.0 / det;
    out->m[0][0] = c0 * d;
    out->m[0][1] = (m[0][2] * m[2][1] - m[0][1] * m[2][2]) * d;
    out->m[0][2] = (m[0][1] * m[1][2] - m[0][2] * m[1][1]) * d;
    out->m[1][0] = c1 * d;
    out->m[1][1] = (m[0][0] * m[2][2] - m[0][2] * m[2][0]) * d;
    out->m[1][2] = (m[0][2] * m[1][0] - m[0][0] * m[1][2]) * d;
    out->m[2][0] = c2 * d;
    out->m[2][1] = (m[0][1] * m[2][0] - m[0][0] * m[2][1]) * d;
    out->m[2][2] = (m[0][0] * m[1][1] - m[0][1] * m[1][0]) * d;
    return 1;
}

/* Newton's step into net, by block elimination from the tail up; from `held` nodes down only:
   what is held does not move. 0 if singular. */
static int eliminate(Work *w, long long held)
{
    Block inverse, part;
    for (long long k = w->n - 1; k >= held; k--) {
        if (!invert(w->own + k, &inverse)) return 0;
        double *x = w->net + 3 * k, y[3];
        for (int i = 0; i < 3; i++) y[i] = dot(inverse.m[i], x);
        memcpy(x, y, sizeof y);
        if (k == held) break;
        /* x_k = y_k - part x_(k-1) */
        const Block *low = w->lower + k - 1, *up = w->upper + k - 1;
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++)
                part.m[i][j] = inverse.m[i][0] * low->m[0][j] + inverse.m[i][1] * low->m[1][j]
                               + inverse.m[i][2] * low->m[2][j];
        double *above = w->net + 3 * (k - 1);
        for (int i = 0; i < 3; i++) {
            above[i] -= dot(up->m[i], x);
            for (int j = 0; j < 3; j++)
                w->own[k - 1].m[i][j] -= up->m[i][0] * part.m[0][j] + up->m[i][1] * part.m[1][j]
                                         + up->m[i][2] * part.m[2][j];
        }
        w->lower[k - 1] = part;
    }
    memset(w->net, 0, sizeof(double) * 3 * (size_t)held);
    for (long long k = held + 1; k < w->n; k++)
        for (int i = 0; i < 3; i++) w->net[3 * k + i] -= dot(w->lower[k - 1].m[i], w->net + 3 * (k - 1));
    return 1;
}

/* Line between tip and leader at a time. */
static double line_out(const Handling *h, long long line, double time)
{
    long long first = h->move_first[line], count = h->moves[line], k = count;
    while (k > 0 && h->move_time[first + k - 1] > time) k--;
    if (k == 0) return h->move_length[first];
    long long m = first + k - 1;
    double x = time - h->move_time[m];
    return h->move_length[m] + x * (h->move_rate[m] + 0.5 * x * h->move_change[m]);
}

static double fish_mass(const Handling *h, long long line, double time)
{
    double mass = 0.0;
    for (long long k = h->fish_first[line]; k < h->fish_first[line] + h->fish_orders[line]; k++) {
        if (h->fish_time[k] > time + 1e-9) break;
        if (h->fish_action[k] == FISH_ON) mass = h->fish_value[k];
        else if (h->fish_action[k] == FISH_OFF) mass = 0.0;
    }
    return mass;
}

/* The depth a fish was told to keep and how fast it goes there; 0 if not. */
static int fish_end(const Handling *h, long long line, double time, double *depth, double *rate)
{
    int swims = 0;
    for (long long k = h->fish_first[line]; k < h->fish_first[line] + h->fish_orders[line]; k++) {
        if (h->fish_time[k] > time + 1e-9) break;
        if (h->fish_action[k] == FISH_END_TO) {
            swims = 1;
            *depth = h->fish_value[k];
            *rate = h->fish_rate[k];
        } else swims = 0;
    }
    return swims && fish_mass(h, line, time) != 0.0;
}

/* The mesh of a handled line as it is at a time between two of its breaks. */
static void update_handled(const Constants *c, const Mesh *mesh, const Handling *h, long long line,
                           double time)
{
    long long first = mesh->first[line], last = mesh->last[line], at = first + h->tip[line];
    long long rows = mesh->nodes - 1;
    double whole = h->length[at];
    double out = line_out(h, line, time) + h->leader[line] - h->along_line[at + 1];
    out = fmax(out, c->least_part * whole);
    double part = out / whole;
    mesh->length[at] = out;
    for (int end = 0; end < 2; end++) {
        mesh->cross[end * rows + at] = part * h->cross[end * rows + at];
        mesh->along[end * rows + at] = part * h->along[end * rows + at];
        mesh->added_across[end * rows + at] = part * h->added_across[end * rows + at];
    }
    double *nodal[] = {mesh->mass, mesh->weight, mesh->buoyancy};
    const double *base[] = {h->mass, h->weight, h->buoyancy};
    for (int i = 0; i < 3; i++) {
        double share = h->shares[i * mesh->nodes + at];
        nodal[i][at] = part * share;
        nodal[i][at + 1] = base[i][at + 1] - (1.0 - part) * share;
    }
    if (h->fish_orders[line]) {
        double fish = fish_mass(h, line, time);
        double area = c->fish_area * cbrt(fish) * cbrt(fish);
        for (long long k = last - 1; k <= last; k++)
            mesh->isotropic[k] = h->isotropic[k] + 0.5 * h->density[line] * area / 2.0;
        mesh->mass[last] = h->mass[last] + fish;
    }
}

/* One implicit stage by Newton's method: 1 if it converged. w->v is the guess and the answer,
   w->r the place; `tip` the velocity of the held nodes. */
static int stage(const Constants *c, const Mesh *mesh, const Handling *h, long long line, Work *w,
                 double b, double time, const double *tip, long long *solves)
{
    long long n = w->n, held = mesh->held;
    int upright = 0;
    double climb = 0.0;
    if (h && h->handled[line]) {
        double depth, rate;
        held = h->tip[line] + 1;
        update_handled(c, mesh, h, line, time);
        if (fish_end(h, line, time, &depth, &rate)) {
            const double *tail = w->r_star + 3 * (n - 1);
            double goal = -fmin(depth, fmax(floor_at(mesh, line, tail[0], tail[1]) - c->off_ground, 0.0));
            upright = 1;
            climb = fmin(fmax((goal - tail[2]) / (c->ease + b), -rate), rate);
        }
    }
    for (long long k = 0; k < held; k++) memcpy(w->v + 3 * k, tip, 3 * sizeof(double));
    int done = 0;
    for (long long turn = 0; turn < c->newton_most && !done; turn++) {
        for (long long k = 0; k < 3 * n; k++) {
            w->r[k] = w->r_star[k] + b * w->v[k];
            w->a[k] = (w->v[k] - w->v_star[k]) / b;
        }
        evaluate(c, mesh, line, w, b);
        if (upright) {
            /* the tail rises as told; where that leads into the ground, as keeps it out */
            const double *tail = w->r + 3 * (n - 1);
            double slope[2], rise = w->v[3 * (n - 1) + 2];
            double least = rise - (tail[2] + floor_at(mesh, line, tail[0], tail[1])) / b;
            slope_at(mesh, line, tail[0], tail[1], slope);
            w->net[3 * (n - 1) + 2] = rise - fmax(climb, least);
            for (int j = 0; j < 3; j++) {
                w->own[n - 1].m[2][j] = j == 2 ? 1.0 : least > climb ? -slope[j] : 0.0;
                w->lower[n - 2].m[2][j] = 0.0;
            }
        }
        ++*solves;
        if (!eliminate(w, held)) return 0;
        double size = 0.0;
        for (long long k = 0; k < n; k++) {
            double move = dot(w->net + 3 * k, w->net + 3 * k);
            if (!isfinite(move)) return 0;
            if (move > size) size = move;
        }
        size = sqrt(size);
        double scale = size > c->largest_update ? c->largest_update / size : 1.0;
        for (long long k = 0; k < 3 * n; k++) w->v[k] -= scale * w->net[k];
        done = size < c->newton_tolerance;
    }
    for (long long k = 0; k < 3 * n; k++) w->r[k] = w->r_star[k] + b * w->v[k];
    return done;
}

/* One step of TR-BDF2 of h seconds from `from` (4 arrays of 3 n: r, v, a, jerk) into `to`:
   1 if both stages converged; the error it makes, m. */
static int attempt(const Constants *c, const Mesh *mesh, const Handling *hand, long long line,
                   Work *w, const double *from, double time, double h, const double *tip_mid,
                   const double *tip_end, double *to, double *error, long long *solves)
{
    long long size = 3 * w->n;
    const double *r0 = from, *v0 = from + size, *a0 = from + 2 * size, *jerk = from + 3 * size;
    double *r2 = to, *v2 = to + size, *a2 = to + 2 * size, *jerk2 = to + 3 * size;
    double b = c->gamma * h, rest = (1.0 - 2.0 * c->gamma) * h, both = 0.25 * sqrt(2.0) * h;
    for (long long k = 0; k < size; k++) {
        w->r_star[k] = r0[k] + b * v0[k];
        w->v_star[k] = v0[k] + b * a0[k];
        w->v[k] = v0[k] + 2.0 * b * (a0[k] + b * jerk[k]);
    }
    if (!stage(c, mesh, hand, line, w, b, time + 2.0 * c->gamma * h, tip_mid, solves)) return 0;
    for (long long k = 0; k < size; k++) {
        double v1 = w->v[k], a1 = (v1 - w->v_star[k]) / b;
        w->r_star[k] = r0[k] + both * (v0[k] + v1);
        w->v_star[k] = v0[k] + both * (a0[k] + a1);
        w->v[k] = v1 + rest * (a1 + 0.5 * rest * jerk[k]);
    }
    if (!stage(c, mesh, hand, line, w, b, time + h, tip_end, solves)) return 0;
    double most = 0.0;
    for (long long k = 0; k < w->n; k++) {
        double sum = 0.0;
        for (long long i = 3 * k; i < 3 * k + 3; i++) {
            r2[i] = w->r[i];
            v2[i] = w->v[i];
            a2[i] = (w->v[i] - w->v_star[i]) / b;
            jerk2[i] = (a2[i] - a0[i]) / h;
            sum += jerk2[i] * jerk2[i];
        }
        if (sum > most) most = sum;
    }
    *error = c->error_constant * h * h * h * sqrt(most);
    return isfinite(*error);
}

/* The step to try after one of h seconds. */
static double next_step(double step, double h, int solved, int accepted, double error,
                        double tolerance, double longest)
{
    double fit = solved ? 0.9 * h * cbrt(tolerance / fmax(error, 1e-12)) : 0.0, next;
    if (accepted) next = fmin(fit, fmax(1.5 * h, step));
    else next = solved ? fmin(fmax(fit, 0.2 * h), 0.7 * h) : 0.4 * h;
    return fmin(next, longest);
}

/* Rows of three in the mesh's layout (3, N) to and from (n, 3). */
static void take(double *out, const double *rows, long long nodes, long long at, long long n)
{
    for (long long k = 0; k < n; k++)
        for (int i = 0; i < 3; i++) out[3 * k + i] = rows[i * nodes + at + k];
}

static void give(const double *from, double *rows, long long nodes, long long at, long long n)
{
    for (long long k = 0; k < n; k++)
        for (int i = 0; i < 3; i++) rows[i * nodes + at + k] = from[3 * k + i];
}

static double cubic(const double *ends, double x, double h)
{
    double y = 1.0 - x;
    return y * y * ((1.0 + 2.0 * x) * ends[0] + x * h * ends[1])
           + x * x * ((3.0 - 2.0 * x) * ends[2] - y * h * ends[3]);
}

/* Velocity of a rod tip at a time. */
static void tip_velocity(const Boat *boat, double time, double *tip)
{
    long long k = place_of(boat->time, boat->count, time) - 1;
    if (k < 0) k = 0;
    double h = boat->time[k + 1] - boat->time[k], x = (time - boat->time[k]) / h;
    double speed = cubic(boat->speed + 4 * k, x, h), heading = cubic(boat->heading + 4 * k, x, h);
    double turn = cubic(boat->turn + 4 * k, x, h), s = sin(heading), c = cos(heading);
    tip[0] = speed * s + boat->east - turn * (boat->astern * c + boat->abeam * s);
    tip[1] = speed * c + boat->north - turn * (-boat->astern * s + boat->abeam * c);
    tip[2] = 0.0;
}

/* One try at a step of every line with h > 0: what Marcher.round needs. States are (4, 3, N). */
EXPORT int try_steps(const Constants *c, const Mesh *mesh, const Handling *hand, const double *from,
                     const double *time, const double *h, const double *tip_mid,
                     const double *tip_end, double *to, unsigned char *solved, double *error,
                     long long *solves)
{
    long long nodes = mesh->nodes;
    for (long long line = 0; line < mesh->lines; line++) {
        if (!(h[line] > 0.0)) continue;
        Work w;
        int status = prepare(&w, mesh, line);
        if (status) return status;
        long long n = w.n;
        double *state = malloc(sizeof(double) * 24 * (size_t)n);
        if (!state) { free(w.memory); return NO_MEMORY; }
        double *after = state + 12 * n, mid[3], end[3];
        for (int i = 0; i < 3; i++) {
            mid[i] = tip_mid[i * mesh->lines + line];
            end[i] = tip_end[i * mesh->lines + line];
        }
        for (int k = 0; k < 4; k++) take(state + 3 * n * k, from + 3 * nodes * k, nodes, w.at, n);
        solved[line] = (unsigned char)attempt(c, mesh, hand, line, &w, state, time[line], h[line], mid,
                                              end, after, error + line, solves);
        if (solved[line])
            for (int k = 0; k < 4; k++) give(after + 3 * n * k, to + 3 * nodes * k, nodes, w.at, n);
        free(state);
        free(w.memory);
    }
    return DONE;
}

/* March one line from `state` (4, 3, n) until `until`, landing on every break of the boat's, and
   on `limit` if that comes first. Accepted steps go to `steps` (most, 4, 3, n), `times`, the step to try `next`, and `reach`, how
   far any try at a step went (most); `count` says how many. */
EXPORT int march_line(const Constants *c, const Mesh *mesh, const Handling *hand, long long line,
                      const Boat *boat, const double *state, double time, double step,
                      double limit, double until, double tolerance, double longest, long long most,
                      double *steps, double *times, double *next, double *reach, long long *count,
                      long long *tries, long long *solves)
{
    Work w;
    if (line < 0 || line >= mesh->lines || boat->count < 1) return BAD_INPUT;
    int status = prepare(&w, mesh, line);
    if (status) return status;
    long long n = w.n, size = 12 * n;
    double *now = malloc(sizeof(double) * 2 * (size_t)size);
    if (!now) { free(w.memory); return NO_MEMORY; }
    double *after = now + size;
    for (int k = 0; k < 4; k++) take(now + 3 * n * k, state + 3 * n * k, n, 0, n);
    *count = 0;
    status = DONE;
    double far = time;
    long long coming = 0;
    while (time < until - 1e-9 && limit - time > 1e-9) {
        if (*count == most) { status = FULL; break; }
        while (coming < boat->breaks && boat->break_time[coming] <= time + 1e-9) coming++;
        double stop = coming < boat->breaks ? fmin(limit, boat->break_time[coming]) : limit;
        double left = stop - time, h = fmin(step, left), error = 0.0, mid[3], end[3];
        if (left - h < c->sliver * h) h = left;
        ++*tries;
        far = fmax(far, time + h);
        tip_velocity(boat, time + 2.0 * c->gamma * h, mid);
        tip_velocity(boat, time + h, end);
        int solved = attempt(c, mesh, hand, line, &w, now, time, h, mid, end, after, &error, solves);
        int accepted = solved && error <= tolerance;
        step = next_step(step, h, solved, accepted, error, tolerance, longest);
        if (!(step >= c->smallest_step)) { status = NO_SOLUTION; times[*count] = time; break; }
        if (!accepted) continue;
        time += h;
        if (coming < boat->breaks && fabs(time - boat->break_time[coming]) < 1e-9)
            step = fmin(step, boat->break_step[coming]);
        double *swap = now; now = after; after = swap;
        for (int k = 0; k < 4; k++)
            give(now + 3 * n * k, steps + *count * size + 3 * n * k, n, 0, n);
        times[*count] = time;
        next[*count] = step;
        reach[*count] = far;
        far = time;
        ++*count;
    }
    free(now < after ? now : after);
    free(w.memory);
    return status;
}

/* The steady tow of one line, held nodes moving as `tip`, from a guess of r and v in the
   mesh's layout (3, N): first-order steps that grow, as Marcher.settle. */
static int settle_line(const Constants *c, const Mesh *mesh, const Handling *hand, long long line,
                       double time, const double *tip, double longest, double *position,
                       double *velocity, long long *solves)
{
    Work w;
    int status = prepare(&w, mesh, line);
    if (status) return status;
    long long n = w.n, before = *solves;
    double h = c->settle_first, spent = 0.0, *r = malloc(sizeof(double) * 6 * (size_t)n);
    if (!r) { free(w.memory); return NO_MEMORY; }
    double *v = r + 3 * n;
    take(r, position, mesh->nodes, w.at, n);
    take(v, velocity, mesh->nodes, w.at, n);
    while (spent < longest) {
        for (long long k = 0; k < 3 * n; k++) {
            w.r_star[k] = r[k] - h * tip[k % 3];
            w.v_star[k] = w.v[k] = v[k];
        }
        if (!stage(c, mesh, hand, line, &w, h, time, tip, solves)) {
            h *= c->settle_shrinks;
            if (h < c->smallest_step) { status = NO_SOLUTION; break; }
            continue;
        }
        double drift = 0.0;
        memcpy(r, w.r, sizeof(double) * 3 * (size_t)n);
        memcpy(v, w.v, sizeof(double) * 3 * (size_t)n);
        for (long long k = 0; k < 3 * n; k++) drift = fmax(drift, fabs(v[k] - tip[k % 3]));
        spent += h;
        if ((drift < c->settled && h > c->settle_long) || *solves - before > c->settle_most) break;
        h = fmin(c->settle_grows * h, c->settle_last);
    }
    give(r, position, mesh->nodes, w.at, n);
    give(v, velocity, mesh->nodes, w.at, n);
    free(r);
    free(w.memory);
    return status;
}

/* The steady tows of all lines from guesses (2, 3, N), each tip moving as its column of `tip`
   (3, L). The answers take the guesses' place. */
EXPORT int settle_lines(const Constants *c, const Mesh *mesh, const Handling *hand, double time,
                        const double *tip, double longest, double *state, long long *solves)
{
    for (long long line = 0; line < mesh->lines; line++) {
        double mine[3];
        for (int i = 0; i < 3; i++) mine[i] = tip[i * mesh->lines + line];
        int status = settle_line(c, mesh, hand, line, time, mine, longest, state,
                                 state + 3 * mesh->nodes, solves);
        if (status) return status;
    }
    return DONE;
}

/* The pull of one line at its tip at `count` instants, from r, v and a of the node at the tip and
   the one below it (count, 3, 2): nothing farther down acts on the tip. */
EXPORT int tip_tensions(const Constants *c, const Mesh *mesh, const Handling *hand, long long line,
                        long long count, const double *time, const double *r, const double *v,
                        const double *a, double *tension)
{
    Work w;
    if (line < 0 || line >= mesh->lines) return BAD_INPUT;
    int handled = hand && hand->handled[line];
    int status = prepare(&w, mesh, line);
    if (status) return status;
    if (handled) w.at += hand->tip[line];
    w.n = 2;
    for (long long k = 0; k < count; k++) {
        if (handled) update_handled(c, mesh, hand, line, time[k]);
        take(w.r, r + 6 * k, 2, 0, 2);
        take(w.v, v + 6 * k, 2, 0, 2);
        take(w.a, a + 6 * k, 2, 0, 2);
        evaluate(c, mesh, line, &w, 1.0);
        tension[k] = sqrt(dot(w.net, w.net));
    }
    free(w.memory);
    return DONE;
}

/* Residual (3, n), tension (n - 1) and, if wanted, Newton's step (3, n) of one line at r, v, a. */
EXPORT int evaluate_line(const Constants *c, const Mesh *mesh, long long line, long long held,
                         const double *r, const double *v, const double *a, double b,
                         double *residual, double *tension, double *move)
{
    Work w;
    if (line < 0 || line >= mesh->lines) return BAD_INPUT;
    int status = prepare(&w, mesh, line);
    if (status) return status;
    take(w.r, r, w.n, 0, w.n);
    take(w.v, v, w.n, 0, w.n);
    take(w.a, a, w.n, 0, w.n);
    evaluate(c, mesh, line, &w, b);
    give(w.net, residual, w.n, 0, w.n);
    memcpy(tension, w.tension, sizeof(double) * (size_t)(w.n - 1));
    if (move) {
        if (eliminate(&w, held)) give(w.net, move, w.n, 0, w.n);
        else status = NO_SOLUTION;
    }
    free(w.memory);
    return status;
}

EXPORT long long sizes(int which)
{
    switch (which) {
    case 0: return (long long)sizeof(Constants);
    case 1: return (long long)sizeof(Mesh);
    case 2: return (long long)sizeof(Handling);
    default: return (long long)sizeof(Boat);
    }
}

#include "../../vessel/core/helm.c"
#include "../../simulation/core/gaps.c"
