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
    return {cannot_write, error.what()};
  } catch (const std::bad_alloc&) {
    return {cannot_write, "there is not enough memory; fewer --jobs or wider cells need less"};
  } catch (const std::exception& error) {
    return own(error.what());
  } catch (...) {
    return own("an exception without a name");
  }
}

} // namespace tiltfin
