# Manual pages from the program's own help, one for it and one for each of its commands:
#   cmake -DTILTFIN=<program> -DHELP2MAN=<path> -DVERSION=<version> -DOUT=<directory> -P manual.cmake
# HELP2MAN is the program of Debian's package help2man, which turns such a help into a page.

file(MAKE_DIRECTORY ${OUT})
execute_process(COMMAND ${TILTFIN} --help OUTPUT_VARIABLE help COMMAND_ERROR_IS_FATAL ANY)
string(REGEX REPLACE ".*\nSubcommands:\n" "" commands "${help}")
string(REGEX REPLACE "\n\n.*" "" commands "${commands}")
string(REPLACE ";" "\\;" commands "${commands}")
string(REPLACE "\n" ";" commands "${commands}")

# help2man reads what a program prints; as it likes it: a blank after the comma of two spellings.
function(manual_page page name options about see_also)
  file(WRITE ${OUT}/${page}.sh "#!/bin/sh\n'${TILTFIN}' ${options} \"$@\" | sed 's/-\\([a-zA-Z]\\),--/-\\1, --/'\n")
  file(CHMOD ${OUT}/${page}.sh PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE)
  file(WRITE ${OUT}/${page}.add "[name]\n${page} \\- ${about}\n[see also]\n${see_also}\n[cautions]\n"
    "A passive cooler can be hot enough to burn, and stays hot after switching off. Work on mains-powered\n"
    "equipment is for those licensed to do it; local codes apply. The chip maker's limits prevail over any\n"
    "number printed.\n")
  execute_process(COMMAND ${HELP2MAN} --no-info --no-discard-stderr --include=${OUT}/${page}.add
    --version-string=${VERSION} --manual=tiltfin --source=tiltfin\ ${VERSION} ${OUT}/${page}.sh
    OUTPUT_VARIABLE text COMMAND_ERROR_IS_FATAL ANY)
  string(REGEX REPLACE "\n\\.TH [^ ]*" "\n.TH ${name}" text "${text}")
  file(WRITE ${OUT}/${page}.1 "${text}")
  file(REMOVE ${OUT}/${page}.sh ${OUT}/${page}.add)
endfunction()

set(pages "")
foreach(command IN LISTS commands)
  string(REGEX MATCH "^ *([a-z]+) +(.*)$" is_command "${command}")
  if(NOT is_command)
    message(FATAL_ERROR "the help has a line that is no command: ${command}")
  endif()
  set(about "${CMAKE_MATCH_2}")
  set(word ${CMAKE_MATCH_1})
  string(TOUPPER tiltfin-${word} name)
  manual_page(tiltfin-${word} ${name} ${word} "${about}" ".BR tiltfin (1)")
  list(APPEND pages ".BR tiltfin-${word} (1)")
endforeach()
list(JOIN pages ",\n" see_also)
manual_page(tiltfin TILTFIN "" "how well a finned, fanless cooler works when the machine is turned" "${see_also}")
