# Every library that polepitch links, for its own build and for projects that use the installed package. Libraries
# that are headers alone are not here: whoever uses the package does not need them.
find_package(fmt REQUIRED)
find_package(tomlplusplus REQUIRED)
find_package(VTK 9.1 REQUIRED COMPONENTS CommonCore CommonDataModel IOXML)
find_package(SQLite3 REQUIRED)
find_package(Threads REQUIRED)
find_package(OpenMP REQUIRED COMPONENTS CXX)  # its runtime library alone: to keep CHOLMOD's loops on one thread
find_package(PkgConfig REQUIRED)
pkg_check_modules(CAIRO REQUIRED IMPORTED_TARGET GLOBAL cairo)
pkg_check_modules(MATIO REQUIRED IMPORTED_TARGET GLOBAL matio)

# Debian ships neither a CMake package nor a pkg-config file for these. Makes the target polepitch::NAME.
function(polepitch_find_library name header)
  string(TOUPPER ${name} upper)
  find_library(${upper}_LIBRARY ${name} REQUIRED)
  find_path(${upper}_INCLUDE ${header} PATH_SUFFIXES ${ARGN} REQUIRED)
  mark_as_advanced(${upper}_LIBRARY ${upper}_INCLUDE)
  if(NOT TARGET polepitch::${name})
    add_library(polepitch::${name} UNKNOWN IMPORTED GLOBAL)
    set_target_properties(polepitch::${name} PROPERTIES IMPORTED_LOCATION ${${upper}_LIBRARY}
                                                        INTERFACE_INCLUDE_DIRECTORIES ${${upper}_INCLUDE})
  endif()
endfunction()
polepitch_find_library(gmsh gmsh.h)
polepitch_find_library(udunits2 udunits2.h udunits2)
polepitch_find_library(cholmod cholmod.h suitesparse)
polepitch_find_library(umfpack umfpack.h suitesparse)
polepitch_find_library(openblas cblas.h)
polepitch_find_library(gif gif_lib.h)
polepitch_find_library(nlopt nlopt.h)
