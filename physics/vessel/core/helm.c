/* The boat's integration: the steps of helm.HelmTrack, which is the readable reference.

   Part of the library that line.c makes. Constants come from Python in one struct.        */

#include <math.h>

/* What the helm last said to a boat, and how she answers it; as helm._Regime and boat.Boat. */
typedef struct {
    double trolling_speed, exponent, propeller_drag, drag_at_trolling;
    double east, north;
    double curvature, engaged_from, leg_end, substep;
    double schedule[5][2];
    long long rows, lever;
} Helm;

/* Where she is; as helm._Point. */
typedef struct { double time, x, y, heading, speed, distance; } Point;

static double scheduled(const Helm *helm, double time)
{
    const double (*row)[2] = helm->schedule;
    if (time >= row[helm->rows - 1][0]) return row[helm->rows - 1][1];
    for (long long k = 0; k + 1 < helm->rows; k++)
        if (row[k][0] <= time && time < row[k + 1][0])
            return row[k][1] + (row[k + 1][1] - row[k][1]) * (time - row[k][0])
                                   / (row[k + 1][0] - row[k][0]);
    return row[0][1];
}

static double surge(const Helm *helm, double time, double speed)
{
    int engaged = helm->lever && time >= helm->engaged_from;
    double drive = pow(scheduled(helm, time) / helm->trolling_speed, helm->exponent);
    double drag = pow(fmax(speed, 0.0) / helm->trolling_speed, helm->exponent)
                  * (1.0 + (engaged ? 0.0 : helm->propeller_drag));
    return helm->drag_at_trolling * (drive - drag);
}

/* One classical Runge-Kutta step to a time. */
static Point integrated(const Helm *helm, Point from, double time)
{
    double h = time - from.time, u = from.speed;
    double mid = from.time + 0.5 * h, inside = from.time + h * (1.0 - 1e-12);
    double a1 = surge(helm, from.time, u), u2 = u + 0.5 * h * a1;
    double a2 = surge(helm, mid, u2), u3 = u + 0.5 * h * a2;
    double a3 = surge(helm, mid, u3), u4 = u + h * a3;
    double a4 = surge(helm, inside, u4);
    double speed = fmax(u + h * (a1 + 2.0 * (a2 + a3) + a4) / 6.0, 0.0);
    double c = from.heading, k = helm->curvature;
    double c2 = c + 0.5 * h * k * u, c3 = c + 0.5 * h * k * u2, c4 = c + h * k * u3;
    double run = h * (u + 2.0 * (u2 + u3) + u4) / 6.0;
    double east = u * sin(c) + 2.0 * (u2 * sin(c2) + u3 * sin(c3)) + u4 * sin(c4);
    double north = u * cos(c) + 2.0 * (u2 * cos(c2) + u3 * cos(c3)) + u4 * cos(c4);
    Point out = {time, from.x + h * (east / 6.0 + helm->east),
                 from.y + h * (north / 6.0 + helm->north), c + k * run, speed,
                 from.distance + run};
    return out;
}

/* Whole steps on from points[0] to points[1] and so on, as far as they end by `until`: one ends
   at every change of the schedule and at `order`, s, where it stops; the one in which the leg
   ends is not made. How many were made, `most` at the most. */
EXPORT long long sail(const Helm *helm, double until, double order, long long most, Point *points)
{
    long long made = 0;
    while (made < most && points->time < order) {
        double stop = fmin(points->time + helm->substep, order);
        for (long long k = 0; k < helm->rows; k++)
            if (points->time + 1e-12 < helm->schedule[k][0])
                stop = fmin(stop, helm->schedule[k][0]);
        if (stop > until) break;
        Point next = integrated(helm, *points, stop);
        if (next.distance >= helm->leg_end) break;
        *++points = next;
        made++;
    }
    return made;
}

/* Cubics between points[0] and points[count], all under one regime: values and rates at both ends
   of speed, heading and turn, (count, 4) each; as HelmTrack.pieces. */
EXPORT void cubics(const Helm *helm, const Point *points, long long count, double *speed,
                   double *heading, double *turn)
{
    for (long long k = 0; k < count; k++)
        for (int end = 0; end < 2; end++) {
            const Point *point = points + k + end;
            /* what changes at the end of a piece has not happened in it */
            double inside = end ? point->time - 1e-9 * (point->time - point[-1].time) : point->time;
            double rate = surge(helm, inside, point->speed), bend = helm->curvature;
            double *at[] = {speed, heading, turn};
            double value[] = {point->speed, point->heading, bend * point->speed};
            double slope[] = {rate, bend * point->speed, bend * rate};
            for (int i = 0; i < 3; i++) {
                at[i][4 * k + 2 * end] = value[i];
                at[i][4 * k + 2 * end + 1] = slope[i];
            }
        }
}

EXPORT long long helm_sizes(int which)
{
    return which ? (long long)sizeof(Point) : (long long)sizeof(Helm);
}
