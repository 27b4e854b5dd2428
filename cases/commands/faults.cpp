#include "cases/commands/faults.hpp"

#include "cases/input/input_error.hpp"
#include "post/text/text_file.hpp"
#include "solver/air.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <new>

namespace tiltfin {
namespace {

Fault own(const std::string& what) {
  return {own_fault, fmt::format("a fault of the program, not of what it was asked: {}. What is "
                                 "finished is kept; please report it with the case file",
                                 what)};
}

} // namespace

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
