/* Writes down every write, truncation and sync that a program does on the files
   below a path, in the order in which it does them. Loaded before the C library
   by the test of power cuts. A record is: kind (1 byte), length of the name
   (2 bytes), offset (8 bytes), length of the data (4 bytes), name, data; one
   write() each, so that records of other writers of the trace stay whole. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <unistd.h>

static pthread_mutex_t one_at_a_time = PTHREAD_MUTEX_INITIALIZER;

static int trace_file(void) {
  static int fd = -1;
  if (fd < 0) fd = open(getenv("TRACE_TO"), O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0600);
  return fd;
}

static void record(char kind, int fd, const char *path, uint64_t offset, const void *data, uint32_t size) {
  char name[4096], link[64];
  const char *below = getenv("TRACE_BELOW");
  if (!below || !getenv("TRACE_TO")) return;
  if (path) {
    snprintf(name, sizeof name, "%s", path);
  } else {
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, name, sizeof name - 1);
    if (n < 0) return;
    name[n] = 0;
  }
  if (strncmp(name, below, strlen(below)) != 0) return;
  uint16_t length = strlen(name);
  size_t total = 15 + length + size;
  unsigned char *all = malloc(total);
  all[0] = kind;
  memcpy(all + 1, &length, 2);
  memcpy(all + 3, &offset, 8);
  memcpy(all + 11, &size, 4);
  memcpy(all + 15, name, length);
  if (size) memcpy(all + 15 + length, data, size);
  if (syscall(SYS_write, trace_file(), all, total) != (ssize_t)total) abort();
  free(all);
}

#define LOCKED(call)                       \
  pthread_mutex_lock(&one_at_a_time);      \
  call;                                    \
  pthread_mutex_unlock(&one_at_a_time);    \
  return result

ssize_t pwrite64(int fd, const void *data, size_t size, off64_t offset) {
  ssize_t result;
  LOCKED(result = syscall(SYS_pwrite64, fd, data, size, offset); if (result > 0) record('W', fd, NULL, offset, data, result));
}

ssize_t pwrite(int fd, const void *data, size_t size, off_t offset) { return pwrite64(fd, data, size, offset); }

int ftruncate64(int fd, off64_t size) {
  int result;
  LOCKED(result = syscall(SYS_ftruncate, fd, size); if (result == 0) record('T', fd, NULL, size, NULL, 0));
}

int ftruncate(int fd, off_t size) { return ftruncate64(fd, size); }

int fsync(int fd) {
  int result;
  LOCKED(result = syscall(SYS_fsync, fd); if (result == 0) record('S', fd, NULL, 0, NULL, 0));
}

int fdatasync(int fd) {
  int result;
  LOCKED(result = syscall(SYS_fdatasync, fd); if (result == 0) record('S', fd, NULL, 0, NULL, 0));
}

int unlink(const char *path) {
  int result;
  LOCKED(result = syscall(SYS_unlinkat, AT_FDCWD, path, 0); if (result == 0) record('U', -1, path, 0, NULL, 0));
}
