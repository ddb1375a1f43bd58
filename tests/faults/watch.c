/*
 * Writes down, in order, what a program does to the files of one folder, so that tests.faults.disk can tell what a
 * power cut may leave of them. Loaded by LD_PRELOAD; WATCHED names the folder, WATCHED_LOG the log.
 *
 * A change is logged before it is made, one at a time. A sync is logged twice: when it is asked for and when it is
 * done; it holds what was written before the first, and holds it only from the second. What reaches files without
 * passing through here (mmap, stdio's own writes) is found out: the log is compared with the folder at every cut.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

enum kind { MADE = 'M', WRITE = 'W', LENGTH = 'L', ASKED = 'A', SYNCED = 'S', GONE = 'G', NAMED = 'N', LINKED = 'K' };

struct head {
    uint8_t kind;
    uint8_t unused[7];
    uint64_t inode, offset, names, bytes; /* lengths of the names and of the bytes that follow */
} __attribute__((packed));

static pthread_mutex_t one_at_a_time = PTHREAD_MUTEX_INITIALIZER;
static char folder[PATH_MAX];
static size_t folder_length;
static int log_fd = -1;

#define REAL(name) static __typeof__(&name) real; if (!real) real = (__typeof__(&name))dlsym(RTLD_NEXT, #name)

static void give_up(const char *why) {
    fprintf(stderr, "watch: %s: %s\n", why, strerror(errno));
    abort();
}

__attribute__((constructor)) static void begin(void) {
    const char *watched = getenv("WATCHED"), *log = getenv("WATCHED_LOG");
    if (!watched || !log || !realpath(watched, folder)) give_up("WATCHED and WATCHED_LOG must name a folder and a file");
    folder_length = strlen(folder);
    int fd = (int)syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    /* Out of the way of programs that close what they did not open. */
    log_fd = fd < 0 ? fd : fcntl(fd, F_DUPFD_CLOEXEC, 700);
    if (log_fd < 0) give_up("the log can't be opened");
    close(fd);
}

/* The name within the folder ("" for the folder itself), or NULL for a path that lies elsewhere. */
static const char *within(const char *path) {
    if (strncmp(path, folder, folder_length) != 0) return NULL;
    if (path[folder_length] == '\0') return path + folder_length;
    return path[folder_length] == '/' ? path + folder_length + 1 : NULL;
}

static const char *of_path(int at, const char *path, char *room) {
    char parent[PATH_MAX], base[NAME_MAX + 1];
    if (path[0] != '/' && at != AT_FDCWD) {
        char link[64];
        snprintf(link, sizeof link, "/proc/self/fd/%d", at);
        ssize_t length = readlink(link, parent, sizeof parent - 1);
        if (length < 0) return NULL;
        parent[length] = '\0';
        if ((size_t)snprintf(room, PATH_MAX, "%s/%s", parent, path) >= PATH_MAX) return NULL;
        return within(room);
    }
    const char *slash = strrchr(path, '/');
    if (strlen(slash ? slash + 1 : path) > NAME_MAX) return NULL;
    strcpy(base, slash ? slash + 1 : path);
    if (slash && slash != path) {
        if ((size_t)(slash - path) >= sizeof parent) return NULL;
        memcpy(parent, path, (size_t)(slash - path));
        parent[slash - path] = '\0';
    } else {
        strcpy(parent, slash ? "/" : ".");
    }
    char whole[PATH_MAX];
    if (!realpath(parent, whole)) return NULL;
    if ((size_t)snprintf(room, PATH_MAX, "%s/%s", whole, base) >= PATH_MAX) return NULL;
    return within(room);
}

/* The inode of an open file or folder that is watched, or 0. */
static uint64_t of_fd(int fd) {
    struct stat found;
    char link[64], path[PATH_MAX];
    int before = errno;
    if (log_fd < 0 || fstat(fd, &found) != 0 || !(S_ISREG(found.st_mode) || S_ISDIR(found.st_mode))) goto no;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) goto no;
    path[length] = '\0';
    errno = before;
    return within(path) ? found.st_ino : 0;
no:
    errno = before;
    return 0;
}

static void say(enum kind kind, uint64_t inode, uint64_t offset, const char *names, size_t name_bytes,
                const struct iovec *parts, int number) {
    struct head head = {.kind = (uint8_t)kind, .inode = inode, .offset = offset, .names = name_bytes};
    struct iovec all[66];
    if (number > 64) { errno = E2BIG; give_up("a write of very many parts"); }
    size_t length = sizeof head + name_bytes;
    all[0] = (struct iovec){&head, sizeof head};
    all[1] = (struct iovec){(void *)names, name_bytes};
    for (int i = 0; i < number; i++) {
        all[2 + i] = parts[i];
        head.bytes += parts[i].iov_len;
    }
    length += head.bytes;
    if (syscall(SYS_writev, log_fd, all, 2 + number) != (long)length) give_up("the log can't be written");
}

static int open_watched(int at, const char *path, int flags, mode_t mode) {
    char room[PATH_MAX];
    int changes = flags & (O_CREAT | O_TRUNC);
    const char *name = log_fd >= 0 && changes && (flags & O_TMPFILE) != O_TMPFILE ? of_path(at, path, room) : NULL;
    if (!name) return (int)syscall(SYS_openat, at, path, flags, mode);
    pthread_mutex_lock(&one_at_a_time);
    struct stat found;
    int was_there = fstatat(at, path, &found, 0) == 0;
    int fd = (int)syscall(SYS_openat, at, path, flags, mode);
    int error = errno;
    if (fd >= 0 && fstat(fd, &found) == 0) {
        if (!was_there) say(MADE, found.st_ino, 0, name, strlen(name), NULL, 0);
        else if (flags & O_TRUNC) say(LENGTH, found.st_ino, 0, "", 0, NULL, 0);
    }
    pthread_mutex_unlock(&one_at_a_time);
    errno = error;
    return fd;
}

#define MODE(flags) \
    mode_t mode = 0; \
    if ((flags) & (O_CREAT | O_TMPFILE)) { va_list rest; va_start(rest, flags); mode = va_arg(rest, mode_t); va_end(rest); }

int open(const char *path, int flags, ...) { MODE(flags) return open_watched(AT_FDCWD, path, flags, mode); }
int open64(const char *path, int flags, ...) { MODE(flags) return open_watched(AT_FDCWD, path, flags, mode); }
int openat(int at, const char *path, int flags, ...) { MODE(flags) return open_watched(at, path, flags, mode); }
int openat64(int at, const char *path, int flags, ...) { MODE(flags) return open_watched(at, path, flags, mode); }
int creat(const char *path, mode_t mode) { return open_watched(AT_FDCWD, path, O_CREAT | O_WRONLY | O_TRUNC, mode); }

/* Where a plain write goes: the end for files opened so, else the place that the descriptor has come to. */
static uint64_t place(int fd) {
    struct stat found;
    if ((fcntl(fd, F_GETFL) & O_APPEND) && fstat(fd, &found) == 0) return (uint64_t)found.st_size;
    return (uint64_t)lseek(fd, 0, SEEK_CUR);
}

#define WATCHED_WRITE(fd, where, parts, number, act) \
    uint64_t inode = of_fd(fd); \
    if (!inode) return act; \
    pthread_mutex_lock(&one_at_a_time); \
    say(WRITE, inode, where, "", 0, parts, number); \
    ssize_t done = act; \
    int error = errno; \
    pthread_mutex_unlock(&one_at_a_time); \
    errno = error; \
    return done;

ssize_t write(int fd, const void *bytes, size_t count) {
    REAL(write);
    struct iovec part = {(void *)bytes, count};
    WATCHED_WRITE(fd, place(fd), &part, 1, real(fd, bytes, count))
}

ssize_t writev(int fd, const struct iovec *parts, int number) {
    REAL(writev);
    WATCHED_WRITE(fd, place(fd), parts, number, real(fd, parts, number))
}

ssize_t pwrite(int fd, const void *bytes, size_t count, off_t offset) {
    REAL(pwrite);
    struct iovec part = {(void *)bytes, count};
    WATCHED_WRITE(fd, (uint64_t)offset, &part, 1, real(fd, bytes, count, offset))
}

ssize_t pwrite64(int fd, const void *bytes, size_t count, off64_t offset) {
    REAL(pwrite64);
    struct iovec part = {(void *)bytes, count};
    WATCHED_WRITE(fd, (uint64_t)offset, &part, 1, real(fd, bytes, count, offset))
}

#define CHANGED(inode, kind, offset, names, name_bytes, act) \
    pthread_mutex_lock(&one_at_a_time); \
    say(kind, inode, offset, names, name_bytes, NULL, 0); \
    int done = act; \
    int error = errno; \
    pthread_mutex_unlock(&one_at_a_time); \
    errno = error; \
    return done;

static int cut_to(int fd, off_t length) {
    uint64_t inode = of_fd(fd);
    if (!inode) return (int)syscall(SYS_ftruncate, fd, length);
    CHANGED(inode, LENGTH, (uint64_t)length, "", 0, (int)syscall(SYS_ftruncate, fd, length))
}

int ftruncate(int fd, off_t length) { return cut_to(fd, length); }
int ftruncate64(int fd, off64_t length) { return cut_to(fd, length); }

static int sync_watched(int fd, long call) {
    uint64_t inode = of_fd(fd);
    /* Threads may sync the same file at once: each is told by its number. */
    uint64_t thread = (uint64_t)syscall(SYS_gettid);
    if (inode) say(ASKED, inode, thread, "", 0, NULL, 0);
    int done = (int)syscall(call, fd);
    int error = errno;
    if (inode && done == 0) say(SYNCED, inode, thread, "", 0, NULL, 0);
    errno = error;
    return done;
}

int fsync(int fd) { return sync_watched(fd, SYS_fsync); }
int fdatasync(int fd) { return sync_watched(fd, SYS_fdatasync); }

int unlinkat(int at, const char *path, int flags) {
    char room[PATH_MAX];
    const char *name = log_fd >= 0 ? of_path(at, path, room) : NULL;
    if (!name || faccessat(at, path, F_OK, AT_SYMLINK_NOFOLLOW) != 0) return (int)syscall(SYS_unlinkat, at, path, flags);
    CHANGED(0, GONE, 0, name, strlen(name), (int)syscall(SYS_unlinkat, at, path, flags))
}

int unlink(const char *path) { return unlinkat(AT_FDCWD, path, 0); }
int rmdir(const char *path) { return unlinkat(AT_FDCWD, path, AT_REMOVEDIR); }

/* What comes into the folder from outside, or leaves it, nothing here does: the folder would differ from the log,
   which ends the run. */
static int named_anew(enum kind kind, int from_at, const char *from, int to_at, const char *to, int flags) {
    char from_room[PATH_MAX], to_room[PATH_MAX], names[2 * PATH_MAX];
    long call = kind == LINKED ? SYS_linkat : SYS_renameat2;
    const char *old = log_fd >= 0 ? of_path(from_at, from, from_room) : NULL;
    const char *new = old ? of_path(to_at, to, to_room) : NULL;
    if (!new || faccessat(from_at, from, F_OK, AT_SYMLINK_NOFOLLOW) != 0 ||
        (kind == LINKED && faccessat(to_at, to, F_OK, AT_SYMLINK_NOFOLLOW) == 0))
        return (int)syscall(call, from_at, from, to_at, to, flags);
    size_t length = strlen(old) + 1;
    strcpy(names, old);
    strcpy(names + length, new);
    length += strlen(new);
    CHANGED(0, kind, 0, names, length, (int)syscall(call, from_at, from, to_at, to, flags))
}

int rename(const char *from, const char *to) { return named_anew(NAMED, AT_FDCWD, from, AT_FDCWD, to, 0); }
int renameat(int from_at, const char *from, int to_at, const char *to) {
    return named_anew(NAMED, from_at, from, to_at, to, 0);
}
int link(const char *from, const char *to) { return named_anew(LINKED, AT_FDCWD, from, AT_FDCWD, to, 0); }
int linkat(int from_at, const char *from, int to_at, const char *to, int flags) {
    return named_anew(LINKED, from_at, from, to_at, to, flags);
}
