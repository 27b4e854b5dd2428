#pragma once
// What went wrong, as an exit code and in words.

#include "cases/commands/command.hpp"

#include <exception>
#include <string>

namespace tiltfin {

struct Fault {
  ExitCode code = own_fault;
  std::string message;
};

/// InputError: bad input. WriteError and errors of the file system: cannot write. All else is a
/// fault of the program, and says so: nothing that was asked for should lead there.
[[nodiscard]] Fault fault_of(const std::exception_ptr& thrown);

/// Where no handler can be reached (memory that runs out inside a library that may not throw), the
/// program ends by what std::terminate calls: from now on with a message and its code, no signal.
/// What was being written then is left under its temporary name.
void end_with_a_message();

} // namespace tiltfin
