#include "cases/commands/faults.hpp"

#include "cases/input/input_error.hpp"
#include "post/text/text_file.hpp"
#include "solver/air.hpp"

#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <new>

namespace tiltfin {
namespace {

Fault own(const std::string& what) {
  return {own_fault, fmt::format("a fault of the program, not of what it was asked: {}. What is "
                                 "finished is kept; please report it with the case file",
                                 what)};
}

/// With no memory but what is there.
[[noreturn]] void end_at_once() {
  const std::exception_ptr thrown = std::current_exception();
  try {
    if (thrown) {
      std::rethrow_exception(thrown);
    }
  } catch (const std::bad_alloc&) {
    std::fputs("tiltfin: memory ran out; what is finished is kept\n", stderr);
    std::_Exit(cannot_write);
  } catch (...) { // said below
  }
  std::fputs("tiltfin: a fault of the program or a lack of memory; what is finished is kept\n",
             stderr);
  std::_Exit(own_fault);
}

} // namespace

void end_with_a_message() {
  std::set_terminate(end_at_once);
}

Fault fault_of(const std::exception_ptr& thrown) {
  try {
    std::rethrow_exception(thrown);
  } catch (const InputError& error) {
    return {bad_input, error.what()};
  } catch (const AirRangeError& error) {
    return {bad_input, error.what()};
  } catch (const WriteError& error) {
    return {cannot_write, error.what()};
  } catch (const std::filesystem::filesystem_error& error) {
    return {cannot_write,
            fmt::format("cannot use {} as a file or directory: {}",
                        error.path1().empty() ? "what was named" : error.path1().string(),
                        error.code().message())};
  } catch (const std::bad_alloc&) {
    return {cannot_write,
            "memory ran out: `tiltfin check` says how much a case needs; fewer --jobs "
            "or wider cells need less; what is finished is kept"};
  } catch (const std::exception& error) {
    return own(error.what());
  } catch (...) {
    return own("an exception without a name");
  }
}

} // namespace tiltfin
