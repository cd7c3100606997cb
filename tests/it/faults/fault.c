/* Stands between a program and the C library (LD_PRELOAD) and makes one call on a file go wrong, to see what the program
 * leaves behind.
 *
 *   FAULT_AT     which call, counted from 1 over those that the kind of fault can meet
 *   FAULT_KIND   what happens there:
 *                ENOSPC, EROFS   making, writing, syncing, renaming: the error of that name, and at every later such call
 *                EIO             any call: the error, once
 *                ENOENT          opening to read: the error, once
 *                HALF            writing: half of the bytes are written; every later write fails with ENOSPC
 *                KILL            any call: SIGKILL before it
 *                KILLHALF        writing: SIGKILL after half of the bytes are written
 *                TERM, INT       any call: that signal before it, and the call goes on
 *   FAULT_CLOCK  the seconds since 1970 that the clock shows, with or without a fault
 *   FAULT_LOG    a file that gets the name of the call that met the fault; without one the program ended before
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

enum { READS = 1, MAKES = 2, WRITES = 4, SYNCS = 8, MOVES = 16, REMOVES = 32, RIGHTS = 64 };
enum { CHANGES = MAKES | WRITES | SYNCS | MOVES, ANY = CHANGES | READS | REMOVES | RIGHTS };

static const struct kind { const char *name; int meets, error, stays, signal, half; } kinds[] = {
    { "ENOSPC", CHANGES, ENOSPC, 1, 0, 0 }, { "EROFS", CHANGES, EROFS, 1, 0, 0 },
    { "EIO", ANY, EIO, 0, 0, 0 },           { "ENOENT", READS, ENOENT, 0, 0, 0 },
    { "HALF", WRITES, ENOSPC, 1, 0, 1 },    { "KILL", ANY, 0, 0, SIGKILL, 0 },
    { "KILLHALF", WRITES, 0, 0, SIGKILL, 1 }, { "TERM", ANY, 0, 0, SIGTERM, 0 },
    { "INT", ANY, 0, 0, SIGINT, 0 },
};
static const struct kind *kind;
static int at, count;
/* Files that the program opened by name; not its terminal, pipes, or what the system is asked about. */
static char ours[1024];

__attribute__((constructor)) static void begin(void) {
    const char *name = getenv("FAULT_KIND"), *number = getenv("FAULT_AT");
    for (size_t i = 0; name && number && i < sizeof kinds / sizeof *kinds; i++)
        if (!strcmp(name, kinds[i].name)) kind = &kinds[i], at = atoi(number);
}

static int system_file(const char *path) {
    static const char *const roots[] = { "/proc/", "/sys/", "/dev/", "/etc/", "/usr/", "/lib" };
    /* Memory that serves as a disk. */
    if (!strncmp(path, "/dev/shm/", 9)) return 0;
    for (size_t i = 0; i < sizeof roots / sizeof *roots; i++)
        if (!strncmp(path, roots[i], strlen(roots[i]))) return 1;
    return 0;
}

/* 0: go on; -1: fail with errno set; 1: write half, then what `kind` says. */
static int meet(int what, const char *call) {
    if (!kind || !(kind->meets & what)) return 0;
    int now = __atomic_add_fetch(&count, 1, __ATOMIC_SEQ_CST);
    if (now < at || (now > at && !kind->stays)) return 0;
    if (now == at) {
        int log = (int)syscall(SYS_openat, AT_FDCWD, getenv("FAULT_LOG"), O_WRONLY | O_CREAT | O_TRUNC, 0666);
        syscall(SYS_write, log, call, strlen(call));
        syscall(SYS_close, log);
        if (kind->half) return 1;
        if (kind->signal) { kill(getpid(), kind->signal); return 0; }
    }
    errno = kind->error;
    return -1;
}

#define REAL(type, name, ...) ((type(*)(__VA_ARGS__))dlsym(RTLD_NEXT, #name))

static int opened(int fd, const char *path) {
    if (fd >= 0 && fd < (int)sizeof ours) ours[fd] = !system_file(path);
    return fd;
}
static int mine(int fd) { return fd >= 0 && fd < (int)sizeof ours && ours[fd]; }

#define OPEN(name)                                                                                                     \
    int name(const char *path, int flags, ...) {                                                                       \
        va_list rest;                                                                                                  \
        va_start(rest, flags);                                                                                         \
        mode_t mode = flags & (O_CREAT | __O_TMPFILE) ? va_arg(rest, mode_t) : 0;                                      \
        va_end(rest);                                                                                                  \
        if (!system_file(path) && meet(flags & O_CREAT ? MAKES : READS, flags & O_CREAT ? "make" : "open")) return -1; \
        return opened(REAL(int, name, const char *, int, ...)(path, flags, mode), path);                               \
    }
OPEN(open)
OPEN(open64)

#define OPENAT(name)                                                                                                   \
    int name(int dir, const char *path, int flags, ...) {                                                              \
        va_list rest;                                                                                                  \
        va_start(rest, flags);                                                                                         \
        mode_t mode = flags & (O_CREAT | __O_TMPFILE) ? va_arg(rest, mode_t) : 0;                                      \
        va_end(rest);                                                                                                  \
        if (!system_file(path) && meet(flags & O_CREAT ? MAKES : READS, flags & O_CREAT ? "make" : "open")) return -1; \
        return opened(REAL(int, name, int, const char *, int, ...)(dir, path, flags, mode), path);                     \
    }
OPENAT(openat)
OPENAT(openat64)

int close(int fd) {
    if (mine(fd)) ours[fd] = 0;
    return REAL(int, close, int)(fd);
}

ssize_t read(int fd, void *into, size_t size) {
    if (mine(fd) && meet(READS, "read")) return -1;
    return REAL(ssize_t, read, int, void *, size_t)(fd, into, size);
}

ssize_t write(int fd, const void *from, size_t size) {
    int met = mine(fd) ? meet(WRITES, "write") : 0;
    if (met < 0) return -1;
    ssize_t done = REAL(ssize_t, write, int, const void *, size_t)(fd, from, met ? size / 2 : size);
    if (met && kind->signal) kill(getpid(), kind->signal);
    return done;
}

#define CALL(what, said, name, declared, types, given)                   \
    int name declared {                                                  \
        if (meet(what, said)) return -1;                                 \
        return ((int(*) types)dlsym(RTLD_NEXT, #name))given;             \
    }
CALL(SYNCS, "sync", fsync, (int fd), (int), (fd))
CALL(SYNCS, "sync", fdatasync, (int fd), (int), (fd))
CALL(RIGHTS, "rights", fchmod, (int fd, mode_t mode), (int, mode_t), (fd, mode))
CALL(RIGHTS, "owner", fchown, (int fd, uid_t user, gid_t group), (int, uid_t, gid_t), (fd, user, group))
CALL(MOVES, "rename", rename, (const char *from, const char *to), (const char *, const char *), (from, to))
CALL(MOVES, "rename", renameat, (int d, const char *from, int e, const char *to), (int, const char *, int, const char *), (d, from, e, to))
CALL(MAKES, "mkdir", mkdir, (const char *path, mode_t mode), (const char *, mode_t), (path, mode))
CALL(REMOVES, "remove", unlink, (const char *path), (const char *), (path))
CALL(REMOVES, "remove", unlinkat, (int dir, const char *path, int flags), (int, const char *, int), (dir, path, flags))

int clock_gettime(clockid_t clock, struct timespec *into) {
    int done = REAL(int, clock_gettime, clockid_t, struct timespec *)(clock, into);
    const char *shown = getenv("FAULT_CLOCK");
    if (!done && shown && clock == CLOCK_REALTIME) into->tv_sec = atoll(shown);
    return done;
}
