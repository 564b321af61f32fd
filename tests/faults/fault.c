/* A disk that fails at a chosen moment: counts the calls that change files in one folder, and at the Nth of them kills
   the process before the call, or lets the call fail with ENOSPC or EIO. Preloaded; armed from inside by fault_arm(). */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

static char folder[PATH_MAX];
static long at, count;
static int what; /* 0 count only, -1 kill, otherwise the errno to fail with */
static int lasting; /* whether every later call fails too, as on a full disk */
static char last[32];

void fault_arm(const char *where, long nth, int do_what, int for_good) {
    snprintf(folder, sizeof folder, "%s", where);
    at = nth; what = do_what; lasting = for_good; count = 0; last[0] = 0;
}

long fault_count(void) { return count; }
const char *fault_last(void) { return last; }

static int inside(const char *path) {
    char whole[PATH_MAX];
    size_t length = strlen(folder);
    if (!length || !path) return 0;
    if (path[0] != '/') {
        char here[PATH_MAX];
        if (!getcwd(here, sizeof here)) return 0;
        if (snprintf(whole, sizeof whole, "%s/%s", here, path) >= (int)sizeof whole) return 0;
        path = whole;
    }
    return strncmp(path, folder, length) == 0 && (path[length] == '/' || path[length] == 0);
}

static int open_inside(int fd) {
    char link[64], path[PATH_MAX];
    if (!folder[0]) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length <= 0 || path[0] != '/') return 0; /* a pipe or a socket */
    path[length] = 0;
    return inside(path);
}

/* 1: this call is to fail, errno is set */
static int fails(const char *name) {
    count++;
    if (what == 0 || !(count == at || (lasting && count > at && what > 0))) return 0;
    if (count == at) snprintf(last, sizeof last, "%s", name);
    if (what < 0) kill(getpid(), SIGKILL);
    errno = what;
    return 1;
}

#define REAL(type, name, ...) \
    static type (*real)(__VA_ARGS__); if (!real) real = (type (*)(__VA_ARGS__))dlsym(RTLD_NEXT, name)

#define ON_FD(type, name, parameters, arguments, ...) \
    type name parameters { REAL(type, #name, __VA_ARGS__); \
        return open_inside(fd) && fails(#name) ? -1 : real arguments; }

#define ON_PATH(name, condition, parameters, arguments, ...) \
    int name parameters { REAL(int, #name, __VA_ARGS__); \
        return (condition) && fails(#name) ? -1 : real arguments; }

ON_FD(ssize_t, write, (int fd, const void *from, size_t size), (fd, from, size), int, const void *, size_t)
ON_FD(ssize_t, writev, (int fd, const struct iovec *from, int parts), (fd, from, parts), int, const struct iovec *, int)
ON_FD(ssize_t, pwrite, (int fd, const void *from, size_t size, off_t to), (fd, from, size, to), int, const void *,
      size_t, off_t)
ON_FD(ssize_t, pwrite64, (int fd, const void *from, size_t size, off64_t to), (fd, from, size, to), int, const void *,
      size_t, off64_t)
ON_FD(int, fsync, (int fd), (fd), int)
ON_FD(int, fdatasync, (int fd), (fd), int)
ON_FD(int, ftruncate, (int fd, off_t to), (fd, to), int, off_t)
ON_FD(int, ftruncate64, (int fd, off64_t to), (fd, to), int, off64_t)
ON_FD(ssize_t, sendfile, (int fd, int from, off_t *offset, size_t size), (fd, from, offset, size), int, int, off_t *,
      size_t)
ON_FD(ssize_t, sendfile64, (int fd, int from, off64_t *offset, size_t size), (fd, from, offset, size), int, int,
      off64_t *, size_t)
ON_PATH(rename, inside(to), (const char *from, const char *to), (from, to), const char *, const char *)
ON_PATH(renameat, inside(to), (int a, const char *from, int b, const char *to), (a, from, b, to), int, const char *,
        int, const char *)
ON_PATH(link, inside(to), (const char *from, const char *to), (from, to), const char *, const char *)
ON_PATH(linkat, inside(to), (int a, const char *from, int b, const char *to, int flags), (a, from, b, to, flags), int,
        const char *, int, const char *, int)
ON_PATH(unlink, inside(path), (const char *path), (path), const char *)
ON_PATH(unlinkat, inside(path), (int at_fd, const char *path, int flags), (at_fd, path, flags), int, const char *, int)
