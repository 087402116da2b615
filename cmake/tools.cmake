# Warnings, and the helpers that make a build quicker where they are installed.
# Off: missing-field-initializers, since a designated initialiser means the rest to keep its default; restrict, which
# g++ 12 reports wrongly inside std::string (GCC bug 105651).
add_compile_options(-Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion
                    -Wno-missing-field-initializers)
if(CMAKE_CXX_COMPILER_ID STREQUAL GNU)
  add_compile_options(-Wno-restrict)
endif()
if(POLEPITCH_WARNINGS_AS_ERRORS)
  add_compile_options(-Werror)
endif()

find_program(CCACHE ccache)
if(CCACHE AND NOT CMAKE_CXX_COMPILER_LAUNCHER)
  set(CMAKE_CXX_COMPILER_LAUNCHER ${CCACHE})
endif()
find_program(MOLD mold)
if(MOLD)
  add_link_options(-fuse-ld=mold)
endif()
