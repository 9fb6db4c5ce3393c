/* How near two lines are: gaps.polyline_distance and gaps.crossing, the readable reference.

   Part of the library that line.c makes. Lines are three rows of their nodes.             */

#include <math.h>
#include <stdlib.h>

enum { PIECE = 4 };

/* Holds some elements of a line in a row, about a point of it. */
typedef struct { double at[3], radius; } Ball;

static double sum3(const double *a, const double *b)
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static double part01(double x) { return x < 0.0 ? 0.0 : x > 1.0 ? 1.0 : x; }

static double apart2(const double *p, const double *q)
{
    double x = p[0] - q[0], y = p[1] - q[1], z = p[2] - q[2];
    return x * x + y * y + z * z;
}

/* Whether what two balls hold is no nearer than `least`. */
static int clear_by(const Ball *a, const Ball *b, double least)
{
    double reach = least + a->radius + b->radius;
    return apart2(a->at, b->at) >= reach * reach;
}

/* Squared distance of the segments p to p + u and q to q + v. */
static double segments2(const double *p, const double *u, const double *q, const double *v)
{
    double w[3] = {p[0] - q[0], p[1] - q[1], p[2] - q[2]}, out = INFINITY;
    double uu = sum3(u, u), uv = sum3(u, v), vv = sum3(v, v), uw = sum3(u, w), vw = sum3(v, w);
    double first[3] = {part01((uv * vw - vv * uw) / fmax(uu * vv - uv * uv, 1e-12)), 0.0, 1.0};
    for (int k = 0; k < 3; k++) {
        double t = part01((vw + first[k] * uv) / fmax(vv, 1e-12));
        double s = part01((t * uv - uw) / fmax(uu, 1e-12)), gap[3];
        for (int d = 0; d < 3; d++) gap[d] = w[d] + s * u[d] - t * v[d];
        double found = sum3(gap, gap);
        if (found < out) out = found;
    }
    return out;
}

/* Nodes point by point, elements, and the balls of elements and of PIECE of them in a row. */
static void survey(const double *nodes, long long n, double (*place)[3], double (*along)[3],
                   Ball *element, Ball *piece)
{
    for (long long i = 0; i < n; i++)
        for (int d = 0; d < 3; d++) place[i][d] = nodes[d * n + i];
    for (long long i = 0; i + 1 < n; i++) {
        for (int d = 0; d < 3; d++) {
            along[i][d] = place[i + 1][d] - place[i][d];
            element[i].at[d] = place[i][d] + 0.5 * along[i][d];
        }
        element[i].radius = 0.5 * sqrt(sum3(along[i], along[i]));
    }
    for (long long from = 0; from + 1 < n; from += PIECE, piece++) {
        long long to = from + PIECE < n - 1 ? from + PIECE : n - 1;
        double most = 0.0;
        for (int d = 0; d < 3; d++) piece->at[d] = place[(from + to) / 2][d];
        for (long long i = from; i <= to; i++) most = fmax(most, apart2(place[i], piece->at));
        piece->radius = sqrt(most);
    }
}

/* Least distance of lines of n and m nodes, at least two each; negative without memory. */
EXPORT double line_gap(long long n, const double *a, long long m, const double *b)
{
    long long all = n + m, pieces = (n + PIECE - 2) / PIECE, others = (m + PIECE - 2) / PIECE;
    size_t room = sizeof(Ball) * (size_t)(all + pieces + others) + sizeof(double[3]) * 2 * (size_t)all;
    Ball *element = malloc(room);
    if (!element) return -1.0;
    Ball *piece = element + all;
    double (*place)[3] = (double (*)[3])(piece + pieces + others), (*along)[3] = place + all;
    survey(a, n, place, along, element, piece);
    survey(b, m, place + n, along + n, element + n, piece + pieces);
    double least = INFINITY, found = INFINITY;
    for (long long i = 0; i < pieces; i++)
        for (long long j = pieces; j < pieces + others; j++)
            least = fmin(least, apart2(piece[i].at, piece[j].at));
    /* these are points of the lines; more by rounding */
    least = sqrt(least) * (1.0 + 1e-9) + 1e-9;
    for (long long i = 0; i < pieces; i++)
        for (long long j = 0; j < others; j++) {
            if (clear_by(piece + i, piece + pieces + j, least)) continue;
            long long to = PIECE * (i + 1) < n - 1 ? PIECE * (i + 1) : n - 1;
            long long end = PIECE * (j + 1) < m - 1 ? PIECE * (j + 1) : m - 1;
            for (long long k = PIECE * i; k < to; k++)
                for (long long l = n + PIECE * j; l < n + end; l++) {
                    if (clear_by(element + k, element + l, least)) continue;
                    found = fmin(found, segments2(place[k], along[k], place[l], along[l]));
                    least = fmin(least, sqrt(found));
                }
        }
    free(element);
    return sqrt(found);
}

/* Whether line a of n nodes lies across b of m as seen from above, with less than `within`
   between: then `where` it does, east and north, at the first element of a that does.     */
EXPORT int line_crossing(long long n, const double *a, long long m, const double *b,
                         double within, double *where)
{
    const double *east = b, *north = b + m, *up = b + 2 * m;
    for (long long i = 0; i + 1 < n; i++) {
        double x = a[i], y = a[n + i], z = a[2 * n + i];
        double ux = a[i + 1] - x, uy = a[n + i + 1] - y, uz = a[2 * n + i + 1] - z;
        for (long long j = 0; j + 1 < m; j++) {
            double vx = east[j + 1] - east[j], vy = north[j + 1] - north[j];
            double wx = east[j] - x, wy = north[j] - y;
            double det = ux * vy - uy * vx, share = wx * vy - wy * vx;
            if (share * det < 0.0 || fabs(share) > 1.1 * fabs(det) || fabs(det) < 1e-12) continue;
            double s = share / det, t = (wx * uy - wy * ux) / det;
            if (!(s >= 0.0 && s <= 1.0 && t >= 0.0 && t <= 1.0)) continue;
            if (fabs(z + s * uz - up[j] - t * (up[j + 1] - up[j])) >= within) continue;
            where[0] = x + s * ux;
            where[1] = y + s * uy;
            return 1;
        }
    }
    return 0;
}
