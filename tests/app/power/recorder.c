/* Preloaded into a process, tells what it does to the files of one folder, in order: to
 * RECORD_INTO, of what lies in RECORD_UNDER. What it says on its standard output stands between.
 * A record is "kind inode offset length length\n" and two pieces of bytes of those lengths. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define REAL(name) __typeof__(&name) real = (__typeof__(&name))dlsym(RTLD_NEXT, #name)

static int log_fd = -1;

static void put(const void *data, size_t n) {
    REAL(write);
    if (real(log_fd, data, n) != (ssize_t)n) abort();
}

static void record(char kind, const struct stat *of, off_t at, const void *one, size_t n,
                   const void *two, size_t m) {
    const char *into = getenv("RECORD_INTO");
    char head[96];
    if (log_fd < 0) {
        REAL(open);
        if (!into || (log_fd = real(into, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0600)) < 0)
            abort();
    }
    put(head, (size_t)snprintf(head, sizeof head, "%c %llu %lld %zu %zu\n", kind,
                               of ? (unsigned long long)of->st_ino : 0ULL, (long long)at, n, m));
    if (n) put(one, n);
    if (m) put(two, m);
}

static int ours(const char *path) {
    const char *under = getenv("RECORD_UNDER");
    size_t n = under ? strlen(under) : 0;
    return n && path && !strncmp(path, under, n) && (path[n] == '/' || !path[n]);
}

/* Whether a handle is of a file or folder of ours; its name and what it is. */
static int held(int fd, char *path, struct stat *of) {
    char link[64];
    int kept = errno;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, PATH_MAX);
    if (n >= 0) path[n] = 0;
    int yes = n > 0 && ours(path) && !fstat(fd, of);
    errno = kept;
    return yes;
}

static void opened(int fd, const char *path, int flags, int was) {
    struct stat of;
    char name[PATH_MAX + 1];
    if (fd < 0 || !held(fd, name, &of)) return;
    if (!was) record('c', &of, 0, path, strlen(path), 0, 0);
    else if (flags & O_TRUNC) record('t', &of, 0, 0, 0, 0, 0);
}

static int was_there(const char *path) {
    struct stat of;
    int kept = errno, yes = !lstat(path, &of);
    errno = kept;
    return yes;
}

#define OPEN(name)                                                   \
    int name(const char *path, int flags, ...) {                     \
        REAL(name);                                                  \
        va_list more;                                                \
        va_start(more, flags);                                       \
        mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;    \
        va_end(more);                                                \
        int was = !(flags & O_CREAT) || !ours(path) || was_there(path); \
        int fd = real(path, flags, mode);                            \
        opened(fd, path, flags, was);                                \
        return fd;                                                   \
    }
OPEN(open)
OPEN(open64)

static void wrote(int fd, off_t at, const void *data, ssize_t n) {
    struct stat of;
    char name[PATH_MAX + 1];
    if (n > 0 && held(fd, name, &of)) record('w', &of, at, data, (size_t)n, 0, 0);
}

ssize_t write(int fd, const void *data, size_t n) {
    REAL(write);
    ssize_t done = real(fd, data, n);
    if (fd == 1 && done > 0) record('!', 0, 0, data, (size_t)done, 0, 0);
    else if (done > 0) wrote(fd, lseek(fd, 0, SEEK_CUR) - done, data, done);
    return done;
}

#define PWRITE(name, offset)                                              \
    ssize_t name(int fd, const void *data, size_t n, offset at) {         \
        REAL(name);                                                       \
        ssize_t done = real(fd, data, n, at);                             \
        wrote(fd, (off_t)at, data, done);                                 \
        return done;                                                      \
    }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define TRUNCATE(name, offset)                                            \
    int name(int fd, offset size) {                                       \
        REAL(name);                                                       \
        struct stat of;                                                   \
        char path[PATH_MAX + 1];                                          \
        int failed = real(fd, size);                                      \
        if (!failed && held(fd, path, &of))                               \
            record('t', &of, (off_t)size, 0, 0, 0, 0);                    \
        return failed;                                                    \
    }
TRUNCATE(ftruncate, off_t)
TRUNCATE(ftruncate64, off64_t)

#define SYNC(name)                                                        \
    int name(int fd) {                                                    \
        REAL(name);                                                       \
        struct stat of;                                                   \
        char path[PATH_MAX + 1];                                          \
        int failed = real(fd);                                            \
        if (!failed && held(fd, path, &of))                               \
            record(S_ISDIR(of.st_mode) ? 'd' : 's', &of, 0, path, strlen(path), 0, 0); \
        return failed;                                                    \
    }
SYNC(fsync)
SYNC(fdatasync)

int rename(const char *from, const char *to) {
    REAL(rename);
    int failed = real(from, to);
    if (!failed && ours(from)) record('r', 0, 0, from, strlen(from), to, strlen(to));
    return failed;
}

int unlink(const char *path) {
    REAL(unlink);
    int failed = real(path);
    if (!failed && ours(path)) record('u', 0, 0, path, strlen(path), 0, 0);
    return failed;
}

int mkdir(const char *path, mode_t mode) {
    REAL(mkdir);
    int failed = real(path, mode);
    if (!failed && ours(path)) record('m', 0, 0, path, strlen(path), 0, 0);
    return failed;
}
