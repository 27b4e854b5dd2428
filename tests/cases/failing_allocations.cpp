// Loaded before the program (LD_PRELOAD): lets operator new fail. What it does is in the
// environment: with FAIL_FROM=N and FAIL_TO=M the allocations from the N-th to the M-th fail,
// counted from the start of main (what libraries take before nobody can catch); with
// FAIL_COUNT=FILE their number is written there at the end.
#include <atomic>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <new>

#include <dlfcn.h>

namespace {

struct Plan {
  long from = 0;
  long to = -1;
  const char* count = nullptr;
  std::atomic<long> n = 0;
  std::atomic<bool> has_begun = false;

  Plan() : count(std::getenv("FAIL_COUNT")) {
    const char* first = std::getenv("FAIL_FROM");
    const char* last = std::getenv("FAIL_TO");
    if (first != nullptr && last != nullptr) {
      from = std::atol(first);
      to = std::atol(last);
    }
  }
  ~Plan() {
    std::FILE* file = count == nullptr ? nullptr : std::fopen(count, "w");
    if (file != nullptr) {
      std::fprintf(file, "%ld\n", n.load());
      std::fclose(file);
    }
  }
  Plan(const Plan&) = delete;
  Plan& operator=(const Plan&) = delete;
  Plan(Plan&&) = delete;
  Plan& operator=(Plan&&) = delete;

  bool fails() {
    if (!has_begun) {
      return false;
    }
    const long k = ++n;
    return k >= from && k <= to;
  }
};

Plan& plan() {
  static Plan the_plan;
  return the_plan;
}

void* take(std::size_t size, std::size_t alignment) {
  const bool fails = plan().fails();
  void* memory = nullptr;
  if (!fails && alignment <= alignof(std::max_align_t)) {
    memory = std::malloc(size == 0 ? 1 : size);
  } else if (!fails) {
    memory = std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment);
  }
  if (memory == nullptr) { // as the language has it: a handler is called where one is set
    if (const std::new_handler handler = std::get_new_handler()) {
      handler(); // the program's ends it
    }
    throw std::bad_alloc();
  }
  return memory;
}

using Main = int(int, char**, char**);
Main* real_main = nullptr;

int begin(int argc, char** argv, char** environment) {
  plan().has_begun = true;
  return real_main(argc, argv, environment);
}

} // namespace

extern "C" int __libc_start_main(Main* program, int argc, char** argv, void (*init)(),
                                 void (*end)(), void (*ld_end)(), void* stack) {
  using Start = int(Main*, int, char**, void (*)(), void (*)(), void (*)(), void*);
  real_main = program;
  auto* start = reinterpret_cast<Start*>(dlsym(RTLD_NEXT, "__libc_start_main"));
  return start(begin, argc, argv, init, end, ld_end, stack);
}

void* operator new(std::size_t size) {
  return take(size, 1);
}
void* operator new[](std::size_t size) {
  return take(size, 1);
}
void* operator new(std::size_t size, std::align_val_t alignment) {
  return take(size, static_cast<std::size_t>(alignment));
}
void* operator new[](std::size_t size, std::align_val_t alignment) {
  return take(size, static_cast<std::size_t>(alignment));
}
void operator delete(void* memory) noexcept {
  std::free(memory);
}
void operator delete[](void* memory) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, std::size_t) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::align_val_t) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, std::align_val_t) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t, std::align_val_t) noexcept {
  std::free(memory);
}
void operator delete[](void* memory, std::size_t, std::align_val_t) noexcept {
  std::free(memory);
}
